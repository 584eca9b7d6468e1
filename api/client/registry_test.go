package client_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/api"
	"boardlore/api/client"
	"boardlore/seeds"
	"boardlore/store"
	"boardlore/store/storetest"
)

// TestMain serves the demo scenario for the examples, which can't be skipped
// one by one: without PostgreSQL none of them is run.
func TestMain(m *testing.M) { os.Exit(storetest.Main(withDemo{m}, storetest.Waiting)) }

type withDemo struct{ *testing.M }

func (m withDemo) Run() int {
	flag.Parse()
	tb := &outside{}
	defer tb.end()
	if !tb.skips(func() { demo = serveDemo(tb) }) {
		return m.M.Run()
	}
	fmt.Fprintln(os.Stderr, "the examples are not run:", tb.why)
	if err := flag.Set("test.skip", "^Example"); err != nil {
		panic(err)
	}
	return m.M.Run()
}

// outside is a test's handle where there is no test.
type outside struct {
	testing.TB
	why string
	all []func()
}

const errSkipped = "skipped"

func (o *outside) Helper()                    {}
func (o *outside) Logf(string, ...any)        {}
func (o *outside) Context() context.Context   { return context.Background() }
func (o *outside) Cleanup(f func())           { o.all = append(o.all, f) }
func (o *outside) Fatal(args ...any)          { panic(fmt.Sprint(args...)) }
func (o *outside) Errorf(f string, as ...any) { fmt.Fprintf(os.Stderr, f+"\n", as...) }
func (o *outside) Skipf(f string, as ...any) {
	o.why = fmt.Sprintf(f, as...)
	panic(errSkipped)
}

// skips tells whether what is done was skipped.
func (o *outside) skips(do func()) (skipped bool) {
	defer func() {
		if r := recover(); r == errSkipped {
			skipped = true
		} else if r != nil {
			panic(r)
		}
	}()
	do()
	return false
}

func (o *outside) end() {
	for _, f := range slices.Backward(o.all) {
		f()
	}
}

// registry is a server with the demo scenario, and what was asked of it.
type registry struct {
	*httptest.Server
	store  *store.Store
	tokens map[string]string // by account

	mu    sync.Mutex
	seen  map[string]bool // method and path, as the description has it
	query map[string]bool // the same, and a parameter
	last  []byte          // body of the newest answer
	paths []template
}

type template struct {
	path string
	is   *regexp.Regexp
}

// demo is the server that the examples ask.
var demo *registry

func migrate(ctx context.Context, url string) error { return store.Migrate(ctx, url, nil) }

func serveDemo(tb testing.TB) *registry {
	tb.Helper()
	s, err := store.Open(tb.Context(), storetest.DSN(tb, migrate), store.Options{MaxConns: 4})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(s.Close)
	accounts, err := seeds.Load(tb.Context(), s, func(string) {})
	if err != nil {
		tb.Fatal(err)
	}
	h, err := api.New(api.Config{Store: s, Version: "v0"})
	if err != nil {
		tb.Fatal(err)
	}
	r := &registry{Server: httptest.NewServer(h), store: s, tokens: map[string]string{}, seen: map[string]bool{},
		query: map[string]bool{}}
	tb.Cleanup(r.Close)
	for _, a := range accounts {
		r.tokens[a.Name] = a.Token
	}
	return r
}

// client asks as an account; "" for nobody.
func (r *registry) client(tb testing.TB, who string, opt client.Options) *client.Client {
	tb.Helper()
	opt.Token = r.tokens[who]
	if opt.HTTP == nil {
		opt.HTTP = &http.Client{Transport: r, Timeout: time.Minute}
	}
	c, err := client.New(r.URL, opt)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// RoundTrip notes what is asked and answered.
func (r *registry) RoundTrip(req *http.Request) (*http.Response, error) {
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, t := range r.paths {
		if !t.is.MatchString(req.URL.EscapedPath()) {
			continue
		}
		key := req.Method + " " + t.path
		if res.StatusCode < 400 {
			r.seen[key] = true
		}
		for name := range req.URL.Query() {
			r.query[key+" "+name] = true
		}
		break
	}
	if strings.HasPrefix(req.URL.Path, "/v1/export") {
		return res, nil
	}
	body, err := io.ReadAll(res.Body)
	_ = res.Body.Close()
	r.last, res.Body = body, io.NopCloser(bytes.NewReader(body))
	return res, err
}

// got holds what a method gave to what the registry had answered: nothing of
// it is lost, and nothing is added.
func (r *registry) got(v any, err error) func(*testing.T, string) {
	return func(t *testing.T, what string) {
		t.Helper()
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if f := reflect.ValueOf(v); f.Kind() == reflect.Struct && f.FieldByName("Fresh").IsValid() {
			v = f.FieldByName("Value").Interface()
		}
		if b, ok := v.([]byte); ok {
			if !bytes.Equal(b, r.last) {
				t.Errorf("%s: other bytes", what)
			}
			return
		}
		ours, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		var a, b any
		if err := json.Unmarshal(ours, &a); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(r.last, &b); err != nil {
			t.Fatal(err)
		}
		for _, d := range unlike("", a, b, nil) {
			t.Errorf("%s: %s", what, d)
		}
	}
}

// unlike lists where a value says otherwise than the answer that it was read of.
func unlike(at string, ours, theirs any, out []string) []string {
	switch x := ours.(type) {
	case map[string]any:
		y, ok := theirs.(map[string]any)
		if !ok {
			return append(out, at+" is an object here")
		}
		for k, v := range y {
			if _, ok := x[k]; !ok && !blank(v) {
				out = append(out, at+"/"+k+" is lost")
			}
		}
		for k, v := range x {
			if w, ok := y[k]; ok {
				out = unlike(at+"/"+k, v, w, out)
			} else if !blank(v) {
				out = append(out, at+"/"+k+" is nobody's")
			}
		}
		return out
	case []any:
		y, ok := theirs.([]any)
		if !ok || len(x) != len(y) {
			return append(out, at+" is another list")
		}
		for i := range x {
			out = unlike(fmt.Sprintf("%s/%d", at, i), x[i], y[i], out)
		}
		return out
	case string:
		y, ok := theirs.(string)
		a, aerr := time.Parse(time.RFC3339, x)
		b, berr := time.Parse(time.RFC3339, y)
		if !ok || x != y && (aerr != nil || berr != nil || !a.Equal(b)) {
			return append(out, fmt.Sprintf("%s is %q, and was %v", at, x, theirs))
		}
		return out
	}
	if ours != theirs && !(blank(ours) && blank(theirs)) {
		return append(out, fmt.Sprintf("%s is %v, and was %v", at, ours, theirs))
	}
	return out
}

// blank tells a value that says as much as its absence.
func blank(v any) bool {
	switch v := v.(type) {
	case map[string]any:
		return len(v) == 0
	case []any:
		return len(v) == 0
	case string:
		return v == "" || strings.HasPrefix(v, "0001-01-01T")
	}
	return v == nil || v == false || v == 0.0
}

// operations are all that the registry's description has.
func (r *registry) operations(t *testing.T) (methods map[string][]string) {
	t.Helper()
	c := r.client(t, "", client.Options{})
	d, err := c.Description(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Paths map[string]map[string]struct {
			Parameters []struct {
				Name string `json:"name"`
				In   string `json:"in"`
			} `json:"parameters"`
		} `json:"paths"`
	}
	if err := json.Unmarshal(d.Value, &doc, jsontext.AllowDuplicateNames(false)); err != nil {
		t.Fatal(err)
	}
	methods = map[string][]string{}
	hole := regexp.MustCompile(`\{[a-z0-9]+\}`)
	for path, of := range doc.Paths {
		is := hole.ReplaceAllString(regexp.QuoteMeta(strings.NewReplacer("{", "<", "}", ">").Replace(path)), "")
		is = regexp.MustCompile(`<path>`).ReplaceAllString(is, ".+")
		is = regexp.MustCompile(`<[a-z0-9]+>`).ReplaceAllString(is, "[^/]+")
		r.paths = append(r.paths, template{path, regexp.MustCompile("^" + is + "$")})
		for method, o := range of {
			key := strings.ToUpper(method) + " " + path
			methods[key] = nil
			for _, p := range o.Parameters {
				if p.In == "query" {
					methods[key] = append(methods[key], p.Name)
				}
			}
		}
	}
	slices.SortFunc(r.paths, func(a, b template) int { return strings.Count(a.path, "{") - strings.Count(b.path, "{") })
	return methods
}
