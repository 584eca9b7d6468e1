package client

import (
	"time"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/part"
	"boardlore/domain/reading"
	"boardlore/domain/record"
	"boardlore/domain/review"
)

// KeptKit tells of a kept kit; the document itself is at Links["self"].
type KeptKit struct {
	Kit      string            `json:"kit"`
	Title    string            `json:"title"`
	Version  int               `json:"version"`
	Digest   string            `json:"digest"`
	Owner    string            `json:"owner"`
	KeptBy   string            `json:"kept_by"` // who kept this version
	KeptAt   time.Time         `json:"kept_at"`
	Findings []finding.Finding `json:"findings,omitempty"`
	Links    Links             `json:"links"`
}

// KitList is one page of kits.
type KitList struct {
	Kits []KeptKit `json:"kits"`
	Next string    `json:"next,omitzero"`
}

func (l KitList) next() string { return l.Next }

// KitBoards are the boards that a kit serves, best first.
type KitBoards struct {
	Kit    string     `json:"kit"`
	Boards []KitBoard `json:"boards"`
}

// KitBoard is how a kit serves one board.
type KitBoard struct {
	Board    string      `json:"board"`
	Name     string      `json:"name"`
	Revision int         `json:"revision"`
	Digest   string      `json:"digest"`
	Summary  kit.Summary `json:"summary"`
	Links    Links       `json:"links"`
}

// Record is a record of a serviced unit as it is kept.
type Record struct {
	ID     int64     `json:"id"`
	Author string    `json:"author"`
	KeptAt time.Time `json:"kept_at"`
	Links  Links     `json:"links"`
	record.Record
}

// RecordList is one page of records, newest first.
type RecordList struct {
	Records []RecordBrief `json:"records"`
	Next    string        `json:"next,omitzero"`
}

func (l RecordList) next() string { return l.Next }

// RecordBrief is a record in a list.
type RecordBrief struct {
	ID         int64     `json:"id"`
	Board      string    `json:"board"`
	Revision   int       `json:"revision"`
	Variant    string    `json:"variant,omitzero"`
	Author     string    `json:"author"`
	Unit       string    `json:"unit,omitzero"` // in one's own list alone
	ServicedOn string    `json:"serviced_on"`   // a date
	Outcome    string    `json:"outcome"`
	Positions  int       `json:"positions"`
	Failed     int       `json:"failed"`
	KeptAt     time.Time `json:"kept_at"`
	Links      Links     `json:"links"`
}

// Experience is what all records of a board amount to.
type Experience struct {
	Board         string                    `json:"board"`
	Variant       string                    `json:"variant,omitzero"`
	Revision      int                       `json:"revision"` // whose failure points they are
	Units         int                       `json:"units"`
	Positions     []PositionSeen            `json:"positions"`
	FailurePoints []record.FailurePointSeen `json:"failure_points"`
	Symptoms      []record.Noticed          `json:"symptoms"`
	Kits          []record.KitSeen          `json:"kits"`
	Method        string                    `json:"method"`
}

// PositionSeen is what the units of a board showed at one position.
type PositionSeen struct {
	record.PositionSeen
	Words    string `json:"words,omitzero"`
	Evidence string `json:"evidence,omitzero"`
}

// Suspects are what may be behind a symptom, the likeliest first.
type Suspects struct {
	Points []record.Ranked `json:"points"`
}

// Checked is what a submission of a map would be told.
type Checked struct {
	Board    string            `json:"board"`
	Digest   string            `json:"digest"`
	Findings []finding.Finding `json:"findings"`
	Map      *board.Map        `json:"map"` // as it would be stored
}

// PartReadings are the ways to read a text as a part.
type PartReadings struct {
	Readings []part.Reading      `json:"readings"`
	LeftOver []string            `json:"left_over"`
	Sure     bool                `json:"sure"`
	Spans    []reading.Explained `json:"spans,omitempty"` // where they were asked for
}

// QuantityReadings are the ways to read a text as a quantity.
type QuantityReadings struct {
	Readings []QuantityReading `json:"readings"`
	Sure     bool              `json:"sure"`
}

// QuantityReading is one of them.
type QuantityReading struct {
	Canonical string   `json:"canonical"`
	SI        string   `json:"si"` // exact decimal in the base unit
	Tolerance string   `json:"tolerance,omitzero"`
	Doubts    []string `json:"doubts,omitempty"`
}

// Rules are the rules by which a part is judged in place of another.
type Rules struct {
	Steps     []part.Step     `json:"steps"`
	Rules     []part.Rule     `json:"rules"`
	Functions []part.Function `json:"functions"`
}

// Draft tells of an unfinished map.
type Draft struct {
	Draft   string    `json:"draft"`
	Version int       `json:"version"`
	Title   string    `json:"title"`
	Digest  string    `json:"digest"`
	Bytes   int       `json:"bytes"`
	SavedAt time.Time `json:"saved_at"`
	Shared  bool      `json:"shared"` // there is a link to it
	Links   Links     `json:"links"`
}

// DraftList is drafts, or the versions of one, newest first.
type DraftList struct {
	Drafts []Draft `json:"drafts"`
}

// DraftLink is the link by which anyone reads a draft.
type DraftLink struct {
	Draft string `json:"draft"`
	Link  string `json:"link"` // the secret, told once
	Links Links  `json:"links"`
}

// KeptPhotograph tells of a photograph as it is kept.
type KeptPhotograph struct {
	SHA256 string `json:"sha256"`
	Type   string `json:"type"`
	Bytes  int    `json:"bytes"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Links  Links  `json:"links"`
}

// Account is whose token is used, and what it may.
type Account struct {
	Account int64       `json:"account,omitzero"` // its number; 0 for who reads without one
	Name    string      `json:"name,omitzero"`
	Role    review.Role `json:"role,omitzero"`
	Scope   string      `json:"scope"`
	Links   Links       `json:"links"`
}

// Token tells of a token, but never what it is.
type Token struct {
	ID        int64     `json:"id"`
	Name      string    `json:"name"`
	Scope     string    `json:"scope"`
	CreatedAt time.Time `json:"created_at"`
	ExpiresAt time.Time `json:"expires_at,omitzero"`
	Links     Links     `json:"links"`
}

// TokenList is an account's own tokens, newest first.
type TokenList struct {
	Tokens []Token `json:"tokens"`
	Links  Links   `json:"links"`
}

// TokenMade is a token that was made; it is told here and never again.
type TokenMade struct {
	Token  `json:",inline"`
	Secret string `json:"token"`
}

// Session is a browser in which the account is signed in.
type Session struct {
	ID        int64     `json:"id"`
	Browser   string    `json:"browser"`
	CreatedAt time.Time `json:"created_at"`
	SeenAt    time.Time `json:"seen_at"`
	ExpiresAt time.Time `json:"expires_at"`
	Links     Links     `json:"links"`
}

// SessionList is the browsers in which the account is signed in, newest first.
type SessionList struct {
	Sessions []Session `json:"sessions"`
	Links    Links     `json:"links"`
}

// Invitation is a link by which people join, or an account signs in.
type Invitation struct {
	ID        int64       `json:"id"`
	Role      review.Role `json:"role,omitzero"`
	Account   string      `json:"account,omitzero"`
	Uses      int         `json:"uses"`
	MadeBy    string      `json:"made_by,omitzero"`
	MadeAt    time.Time   `json:"made_at"`
	ExpiresAt time.Time   `json:"expires_at"`
	Links     Links       `json:"links"`
}

// InvitationList is the links that still work, newest first.
type InvitationList struct {
	Invitations []Invitation `json:"invitations"`
	Links       Links        `json:"links"`
}

// InvitationMade is a link that was made; it is told here and never again.
type InvitationMade struct {
	Invitation `json:",inline"`
	Link       string `json:"link"`
}

// SignUp says who may join, and under which terms.
type SignUp struct {
	Open  bool   `json:"open"`
	Terms string `json:"terms"`
	Links Links  `json:"links"`
}

// Joined is a new account.
type Joined struct {
	Account int64       `json:"account"`
	Name    string      `json:"name"`
	Role    review.Role `json:"role"`
	Token   string      `json:"token"`
	Links   Links       `json:"links"`
}

// Act is an event as stewards see it: whom it is about, and why.
type Act struct {
	Event   `json:",inline"`
	Account string `json:"account,omitzero"`
	Why     string `json:"why,omitzero"`
}

// ActList is one page of acts.
type ActList struct {
	Acts  []Act  `json:"acts"`
	Next  string `json:"next,omitzero"`
	Links Links  `json:"links"`
}

func (l ActList) next() string { return l.Next }

// KnownAccount is an account as stewards see it.
type KnownAccount struct {
	Account   int64       `json:"account"`
	Name      string      `json:"name"`
	Role      review.Role `json:"role"`
	Disabled  bool        `json:"disabled"`
	CreatedAt time.Time   `json:"created_at"`
	Links     Links       `json:"links"`
}

// AccountList is the accounts, by name.
type AccountList struct {
	Accounts []KnownAccount `json:"accounts"`
	Links    Links          `json:"links"`
}

// AccountAct is the receipt of a steward's act.
type AccountAct struct {
	Account    int64  `json:"account,omitzero"`
	Photograph string `json:"photograph,omitzero"`
	Event      int64  `json:"event"` // 0 where nothing changed
	Links      Links  `json:"links"`
}

// Index is what is here.
type Index struct {
	Name    string       `json:"name"`
	About   string       `json:"about"`
	Version string       `json:"version,omitzero"`
	Links   Links        `json:"links"`
	Log     Log          `json:"log"`
	Mirror  *MirrorState `json:"mirror,omitzero"`
	Routes  []Route      `json:"routes"`
}

// MirrorState is what a mirror follows.
type MirrorState struct {
	Of        string    `json:"of"`
	Size      int64     `json:"size"` // entries of the other's log that were proved
	CheckedAt time.Time `json:"checked_at,omitzero"`
	Alarm     string    `json:"alarm,omitzero"` // why it follows no more
}

// Route is one address of the contract.
type Route struct {
	Method string      `json:"method"`
	Path   string      `json:"path"` // a URI template
	About  string      `json:"about"`
	Role   review.Role `json:"role,omitzero"` // the least that it needs
}

// SchemaList is the JSON Schema documents.
type SchemaList struct {
	Schemas []SchemaName `json:"schemas"`
}

// SchemaName is one of them.
type SchemaName struct {
	Name string `json:"name"`
	Href string `json:"href"`
}

// Health is whether a server is well.
type Health struct {
	Status  string `json:"status"`
	Version string `json:"version,omitzero"`
	Replica string `json:"replica,omitzero"`
}
