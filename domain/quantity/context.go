package quantity

// Context is what is known of a text apart from the text itself. Whatever is unknown stays empty.
type Context struct {
	Class        string `json:"class,omitempty"`        // part class: capacitor, resistor, inductor …
	Construction string `json:"construction,omitempty"` // ceramic, film, tantalum, aluminium-electrolytic …
	Found        string `json:"found,omitempty"`        // marking (on the part), order-code, list
	Language     string `json:"language,omitempty"`     // en, de, fr: what comma and point mean
	Historic     bool   `json:"historic,omitempty"`     // from the age of MFD and MMF
	Continental  bool   `json:"continental,omitempty"`  // K may be kilo-picofarad
}
