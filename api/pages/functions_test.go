package pages

import "testing"

func TestRuns(t *testing.T) {
	for in, want := range map[string]string{
		"Polarised parts (C13, C14, C15, C17, C18, C2): mark them.": "Polarised parts (C13–C15, C17, C18, C2): mark them.",
		"C1, C2":                    "C1, C2",
		"C1, C2, R3, R4, R5":        "C1, C2, R3–R5",
		"C9, C10, C11, C12":         "C9–C12",
		"A1, B2, C3":                "A1, B2, C3",
		"C3, C2, C1":                "C3, C2, C1",
		"C01, C02, C03":             "C01, C02, C03",
		"<b>C1, C2, C3</b>":         "<b>C1–C3</b>",
		"":                          "",
		"C99999, C100000, C100001.": "C99999, C100000, C100001.",
	} {
		if got := runs(in); got != want {
			t.Errorf("runs(%q) = %q, want %q", in, got, want)
		}
	}
}
