package client

import (
	"encoding"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/placement"
	"boardlore/domain/record"
	"boardlore/domain/review"
	"boardlore/schema"
)

// typed is which type stands for which schema.
var typed = map[string]any{
	"account": Account{}, "account-act": AccountAct{}, "accounts": AccountList{}, "acts": ActList{}, "board": Board{},
	"boards":    BoardList{},
	"checklist": review.Checklist{}, "decision": reason{}, "difference": Difference{}, "doubt": NewDoubt{},
	"doubt-receipt": DoubtReceipt{},
	"doubts":        DoubtList{}, "draft-link": DraftLink{}, "draft-saved": Draft{}, "drafts": DraftList{},
	"envelope": Envelope{}, "events": EventList{},
	"experience": Experience{}, "health": Health{}, "history": History{}, "index": Index{},
	"invitation":      NewInvitation{},
	"invitation-made": InvitationMade{}, "invitations": InvitationList{}, "join": Joining{}, "joined": Joined{},
	"json-patch": []board.Operation{},
	"kit":        kit.Kit{}, "kit-boards": KitBoards{}, "kit-kept": KeptKit{}, "kits": KitList{}, "map": board.Map{},
	"map-check": Checked{}, "moved": Moved{},
	"part-readings": PartReadings{}, "parts-list": kit.PartsList{}, "photograph": KeptPhotograph{},
	"photograph-draft":  placement.PhotographResult{},
	"photograph-import": placement.PhotographRequest{}, "placement-draft": placement.Result{},
	"placement-import": placement.Request{},
	"plan":             bench.Plan{}, "problem": Refusal{}, "proposal": ProposalDetail{}, "proposals": ProposalList{},
	"quantity-readings": QuantityReadings{},
	"receipt":           Receipt{}, "reconciliation": kit.Report{}, "record": record.Record{}, "record-kept": Record{},
	"record-withdrawal": Withdrawing{},
	"records":           RecordList{}, "review": Verdict{}, "review-given": review.Review{}, "reviews": ReviewList{},
	"revisions": RevisionList{},
	"rules":     Rules{}, "schema-list": SchemaList{}, "sessions": SessionList{}, "sign-up": SignUp{},
	"submission": Submission{}, "suspects": Suspects{},
	"token": NewToken{}, "token-made": TokenMade{}, "tokens": TokenList{}, "withdrawal": Withdrawing{},
	"withdrawn": WithdrawalReceipt{}, "watch": NewWatch{}, "watch-made": Watch{}, "watches": WatchList{},
	"feed-made": FeedMade{}, "hook": NewHook{}, "hook-made": HookMade{}, "hooks": HookList{},
	"deliveries": DeliveryList{},
}

// untyped are the schemas that no type stands for, and why.
var untyped = map[string]string{
	"common": "holds what others refer to", "part": "part.Part, through maps and kits", "draft": "any object",
	"map-answer":   "a map or an envelope",
	"account-role": "arguments of SetRole", "doubt-answer": "arguments of AnswerDoubt",
	"move":      "arguments of MoveBoard",
	"part-text": "arguments of ReadPart", "quantity-text": "arguments of ReadQuantity",
	"reconciliation-request": "made of Reconciling",
	"quantities":             "texts, in canonical spelling", "review-answer": "arguments of AnswerReview",
	"sign-up-choice": "arguments of SetSignUp",
}

// apart are members that a type leaves out, and why.
var apart = map[string]string{
	"$schema":          "a document's own word, which the registry doesn't keep",
	"problem/instance": "nowhere told",
	"problem/data":     "of kinds of problem of their own",
}

// TestTypesAreTheSchemas holds every type to its schema: a member that the one
// has and the other has not, or has of another kind, is named.
func TestTypesAreTheSchemas(t *testing.T) {
	for _, name := range schema.Names() {
		v, ok := typed[name]
		if _, not := untyped[name]; ok == not {
			t.Errorf("schema %s has no type, and no reason for that", name)
		}
		if !ok {
			continue
		}
		c := comparison{t: t, name: name, docs: map[string]any{}, seen: map[string]bool{}}
		c.compare("", c.doc(name), name, reflect.TypeOf(v))
	}
}

type comparison struct {
	t    *testing.T
	name string
	docs map[string]any
	seen map[string]bool
}

func (c *comparison) doc(name string) any {
	if c.docs[name] == nil {
		d, err := schema.Tree(name)
		if err != nil {
			c.t.Fatal(err)
		}
		c.docs[name] = d
	}
	return c.docs[name]
}

// resolve follows references, and takes null out of a choice.
func (c *comparison) resolve(node any, in string) (map[string]any, string) {
	for {
		n, ok := node.(map[string]any)
		if !ok {
			return nil, in
		}
		if ref, ok := n["$ref"].(string); ok {
			doc, pointer, _ := strings.Cut(ref, "#")
			if doc != "" {
				in = strings.TrimPrefix(doc, schema.Prefix)
			}
			node = c.doc(in)
			for _, tok := range strings.Split(strings.Trim(pointer, "/"), "/") {
				if tok != "" {
					node = node.(map[string]any)[tok]
				}
			}
			continue
		}
		if some, ok := n["anyOf"].([]any); ok && n["properties"] == nil {
			left := slices.DeleteFunc(slices.Clone(some),
				func(v any) bool { return v.(map[string]any)["type"] == "null" })
			if len(left) == 1 {
				node = left[0]
				continue
			}
		}
		return n, in
	}
}

func (c *comparison) compare(at string, node any, in string, typ reflect.Type) {
	n, in := c.resolve(node, in)
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	if n == nil || typ == reflect.TypeFor[jsontext.Value]() || typ.Kind() == reflect.Interface || leaf(typ) {
		return
	}
	key := fmt.Sprintf("%p %v", n, typ)
	if c.seen[key] {
		return
	}
	c.seen[key] = true
	choice, _ := n["type"].([]any)
	if object := slices.Contains(choice, any("object")); object && typ.Kind() == reflect.Struct {
		return // written as one of several kinds, of which the type is the fullest
	}
	switch {
	case typ.Kind() == reflect.Struct && n["properties"] != nil:
		c.members(at, n["properties"].(map[string]any), in, typ)
	case typ.Kind() == reflect.Slice || typ.Kind() == reflect.Array:
		if n["items"] != nil {
			c.compare(at+"/*", n["items"], in, typ.Elem())
		}
	case typ.Kind() == reflect.Struct:
		c.t.Errorf("%s%s: %v for %v", c.name, at, typ, n["type"])
	default:
		c.kind(at, n, typ)
	}
}

func (c *comparison) kind(at string, n map[string]any, typ reflect.Type) {
	want := map[reflect.Kind]string{reflect.String: "string", reflect.Bool: "boolean", reflect.Int: "integer",
		reflect.Int64: "integer", reflect.Float64: "number", reflect.Map: "object"}[typ.Kind()]
	said, _ := n["type"].(string)
	if said == "" {
		list, _ := n["type"].([]any) // with null, or a choice that the type reads by itself
		if len(list) > 0 {
			said, _ = list[0].(string)
		}
	}
	if said == "" && n["enum"] != nil {
		said = "string"
	}
	if said != "" && said != want {
		c.t.Errorf("%s%s: %v for %s", c.name, at, typ, said)
	}
}

func (c *comparison) members(at string, properties map[string]any, in string, typ reflect.Type) {
	fields := map[string]reflect.Type{}
	fieldsOf(typ, fields)
	for _, m := range slices.Sorted(maps.Keys(properties)) {
		if _, ok := apart[m]; ok {
			continue
		}
		if _, ok := apart[c.name+at+"/"+m]; ok && fields[m] == nil {
			continue
		}
		if fields[m] == nil {
			c.t.Errorf("%s%s/%s: not in %v", c.name, at, m, typ)
			continue
		}
		c.compare(at+"/"+m, properties[m], in, fields[m])
	}
	for _, f := range slices.Sorted(maps.Keys(fields)) {
		if properties[f] == nil {
			c.t.Errorf("%s%s: %v has %s, and the schema has not", c.name, at, typ, f)
		}
	}
}

// leaf tells a type that reads its value by itself.
func leaf(typ reflect.Type) bool {
	p := reflect.PointerTo(typ)
	return typ == reflect.TypeFor[time.Time]() || p.Implements(reflect.TypeFor[json.UnmarshalerFrom]()) ||
		p.Implements(reflect.TypeFor[json.Unmarshaler]()) ||
		p.Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}

func fieldsOf(typ reflect.Type, into map[string]reflect.Type) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || strings.Contains(options, "embed"):
		case name == "" && f.Anonymous:
			fieldsOf(f.Type, into)
		case f.IsExported() || f.Anonymous:
			if into[name] == nil {
				into[name] = f.Type
			}
		}
	}
}
