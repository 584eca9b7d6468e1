package pages_test

import (
	"maps"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"golang.org/x/net/html"

	"boardlore/domain/message"
	"boardlore/domain/message/messagetest"
)

// bracketed is a site with one more language, in which every sentence stands in
// brackets, and a visitor to it who reads that. It is no test beside others:
// they would have that language, too.
func bracketed(t *testing.T) *site {
	t.Helper()
	en, err := os.ReadFile("../../domain/message/en.txt")
	if err != nil {
		t.Fatal(err)
	}
	had := message.Languages
	message.Languages = append(slices.Clone(had), messagetest.Bracketed(t, string(en)))
	running.Store(t, true)
	t.Cleanup(func() { message.Languages = had; running.Delete(t) })
	return newSite(t)
}

// read is what people see or hear of a page: its texts, and the attributes that
// are shown or read out.
func read(t *testing.T, page string) (texts []string) {
	t.Helper()
	root, err := html.ParseWithOptions(strings.NewReader(page), html.ParseOptionEnableScripting(false))
	if err != nil {
		t.Fatal(err)
	}
	heard := map[string]bool{"aria-label": true, "alt": true, "title": true, "placeholder": true, "data-label": true,
		"label": true, "aria-description": true}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode && slices.Contains([]string{"script", "style", "textarea"}, n.Data) {
			return
		}
		if n.Type == html.TextNode {
			texts = append(texts, n.Data)
		}
		for _, a := range n.Attr {
			if heard[a.Key] || n.Data == "meta" && a.Key == "content" && attribute(n, "name") == "description" ||
				n.Data == "input" && a.Key == "value" && attribute(n, "type") == "submit" {
				texts = append(texts, a.Val)
			}
		}
		for c := range n.ChildNodes() {
			walk(c)
		}
	}
	walk(root)
	return texts
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

var (
	twoLetters = regexp.MustCompile(`\p{L}{2,}`)
	digest     = regexp.MustCompile(`\b[0-9a-f]{12,64}\b`)
	asWritten  = regexp.MustCompile(`⟦(Expected|Found):⟧[^⟦]*`) // as documents have it, for whoever mends one
)

// shownAsIs are texts that are no sentences and stand in no map: names of
// accounts, of languages, of formats, of units, and what readers type.
const shownAsIs = ` boardlore Ada Rune Sefa Stig English Deutsch JSON PDF CSV SHA UTC CC mm nF kΩ kB MB GB GmbH ID
 The map of a board that I serviced Measured with a rule on two boards Stands close to the screening can C3 sits further right Calliper
 microphone preamplifier Go-http-client /lines/0/text
 Often replaced before A note on C4 Seen on three boards C5 stands the other way round The plus is printed on the board Looked at mine `

// chosen are the members of a map whose values are words of ours.
var chosen = regexp.MustCompile(`^(class|construction|side|service|circuit|when|measure|severity|mount|shape|basis|safety_class)$`)

// ownWords are the texts of a map that its author wrote.
func ownWords(t *testing.T, doc []byte) (texts []string) {
	t.Helper()
	var tree any
	if err := json.Unmarshal(doc, &tree); err != nil {
		t.Fatal(err)
	}
	var walk func(member string, x any)
	walk = func(member string, x any) {
		switch x := x.(type) {
		case map[string]any:
			for k, v := range x {
				walk(k, v)
			}
		case []any:
			for _, v := range x {
				walk(member, v)
			}
		case string:
			if !chosen.MatchString(member) {
				texts = append(texts, x)
			}
		}
	}
	walk("", tree)
	return texts
}

// TestBracketedPages: whatever a page says is a sentence of the language files.
func TestBracketedPages(t *testing.T) {
	w := bracketed(t)
	own := shownAsIs + strings.Join(ownWords(t, document(t, readMap(t))), "\n")
	seen := map[string]bool{}
	judge := func(name, page string) {
		for _, text := range read(t, page) {
			for _, word := range twoLetters.FindAllString(digest.ReplaceAllString(messagetest.Outside(asWritten.ReplaceAllString(text, "")), ""), -1) {
				if !strings.Contains(own, word) && !seen[name+word] {
					seen[name+word] = true
					t.Errorf("%s says %q, in no language: %.200q", name, word, strings.TrimSpace(text))
				}
			}
		}
		if !strings.Contains(page, "⟦") {
			t.Errorf("%s is not in brackets: %.200s", name, page)
		}
	}
	pages := w.everyPage()
	of := "/boards/" + boardID
	maps.Copy(pages, map[string]string{"account": "/account", "watches": "/account/watches", "stewards": "/desk/stewards", "join": "/join",
		"photograph": "/contribute/photo",
		"kit":        of + "/kit-check?kit=none", "amending": "/contribute?proposal=" + id(w.harmless),
		"job of all": of +
			"/job?scope=all"})
	for who, token := range map[string]string{"anyone": "", "author": w.author, "reviewer": w.reviewer,
		"steward": w.steward} {
		v := w.visitor(t, token)
		v.get("/language/en-XA?back=/")
		for _, name := range slices.Sorted(maps.Keys(pages)) {
			_, body := v.get(pages[name])
			judge(who+", "+name, body)
		}
	}
	v := w.visitor(t, w.author)
	v.get("/language/en-XA?back=/")
	for name, c := range map[string]struct {
		page, action string
		form         url.Values
	}{
		"kit": {of + "/kit-check", of + "/kit-check",
			url.Values{"list": {"2x 100 µF 25 V C1-C3\n1x 47 µF 6.3 V\n3x 10 nF X2"}, "scope": {"all"}}},
		"no kit": {of + "/kit-check", of + "/kit-check", url.Values{"list": {"12345"}}},
		"placements": {"/contribute", "/contribute", url.Values{"act": {"placements"}, "board": {"new-board"},
			"maker": {"Fellside"},
			"model": {"MP-4"}, "name": {"MP-4"},
			"placements": {"Designator,Value,X,Y,Side\nC1,47 µF,10,20,top\nC1,47 " +
				"µF,10,20,top\nC2,xx,20,20,bottom\nC3,1,x,2,top"}}},
		"no placements":  {"/contribute", "/contribute", url.Values{"act": {"placements"}, "placements": {"1,2"}}},
		"wrong token":    {"/sign-in", "/sign-in", url.Values{"token": {"x"}}},
		"doubt":          {of + "/positions/C3", of + "/doubts", url.Values{"designator": {"C3"}, "text": {""}}},
		"release":        {"/proposals/" + id(w.harmless), "/proposals/" + id(w.harmless) + "/release", url.Values{}},
		"withdraw":       {"/proposals/" + id(w.harmless), "/proposals/" + id(w.harmless) + "/withdraw", url.Values{}},
		"an empty draft": {"/contribute", "/contribute", url.Values{"act": {"map"}, "map": {"{}"}}},
	} {
		_, body := v.post(c.page, c.action, c.form)
		judge("sent: "+name, body)
	}
}
