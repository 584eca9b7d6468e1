package api

import "testing"

// TestAccepted holds the choice of a form to RFC 9110, section 12.5.1, of which the first rows are the worked example.
func TestAccepted(t *testing.T) {
	offered := []string{"application/json", "text/csv", "text/html"}
	for header, want := range map[string]string{
		"text/csv;q=0.2, text/html": "text/html",
		"text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, text/plain;format=fixed;q=0.4, */*;q=0.5": "application/json",
		"": "application/json", "*/*": "application/json", "text/*": "text/csv",
		"application/json; charset=UTF-8": "application/json", "TEXT/CSV": "text/csv",
		"text/csv;q=0": "", "image/png": "", "application/json;q=0, */*;q=0.1": "text/csv",
		"*/*;q=0.1, text/html;q=0.2": "text/html", "not a header": "application/json",
	} {
		if got := accepted(header, offered...); got != want {
			t.Errorf("Accept %q: %q, want %q", header, got, want)
		}
	}
}
