package schema

import (
	"net/url"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// schemaMember is the member by which a document says for which schema it was
// written. It is about the document and no part of it: never stored or digested.
const schemaMember = "$schema"

// takeName takes the name of its schema out of a document. It tells whether
// there was one, and finds fault with one that is not the document's.
func takeName(name string, tree any) (named bool, fs []finding.Finding) {
	doc, ok := tree.(map[string]any)
	if !ok {
		return false, nil
	}
	v, named := doc[schemaMember]
	if !named {
		return false, nil
	}
	delete(doc, schemaMember)
	own := strings.TrimSuffix(name, ".json")
	if id, ok := v.(string); ok && schemaName(id) == own {
		return true, nil
	}
	return true, []finding.Finding{{Code: "schema-unknown", Severity: finding.Stop, Pointer: "/" + schemaMember,
		Expected: Prefix + own, Found: spell(v), Basis: message.Text("schema " + Prefix + own),
		Sentence: message.Of("schema.schema-unknown", Prefix+own, spell(v))}}
}

// schemaName is the name of the schema that an $id stands for, on this server or
// on another that serves the same; "" where it is none.
func schemaName(id string) string {
	u, err := url.Parse(id)
	if err != nil || u.Scheme != "" && u.Scheme != "http" && u.Scheme != "https" || u.RawQuery != "" || u.User != nil {
		return ""
	}
	name, ours := strings.CutPrefix(u.Path, Prefix)
	if _, known := documents[strings.TrimSuffix(name, ".json")]; !ours || !known || u.Fragment != "" {
		return ""
	}
	return strings.TrimSuffix(name, ".json")
}
