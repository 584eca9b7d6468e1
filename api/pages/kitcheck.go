package pages

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/api/paper"
	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/schema"
)

// maxList bounds a pasted or uploaded list.
const maxList = 1 << 20

// kitView is the page on which a kit is checked.
type kitView struct {
	*boardPage
	List     string // as pasted, for the next try and for the report
	Kept     string // ID of a kit kept on the server
	Scope    string
	Problems []kit.Problem // lines that could not be read
	Refusal  *fault.Error
	Report   *kit.Report
	Kit      *kit.Kit
	Top      any
	Bottom   any
	Look     fitTable
	Fine     fitTable
}

// Named is the scope where it names positions, "" for the service or all.
func (k *kitView) Named() string {
	if k.Scope == kit.ScopeService || k.Scope == kit.ScopeAll {
		return ""
	}
	return k.Scope
}

// Title is what the kit is called; nothing where a list was pasted, which has no
// name.
func (k *kitView) Title() message.Message {
	if k.Kit.Title == kit.ListTitle || k.Kit.Title == "" {
		return message.Message{}
	}
	return t("kit.titled", k.Kit.Title)
}

// Served says how a kit that is kept here served those who used it on this
// board; nothing where nobody told.
func (k *kitView) Served() message.Message {
	if seen := k.Seen.KitNamed(k.Kept); seen != nil {
		return seen.Words()
	}
	return message.Message{}
}

func (k *kitView) Action() string { return "/boards/" + k.Board.ID + "/kit-check" }

// maxShared is how long an address with a list in it may be: all browsers and
// proxies pass on so much.
const maxShared = 6000

// Twin is the address of the result, to be kept or given on; "" where the list
// is too long for one, or came as a file of its own.
func (k *kitView) Twin() string {
	scope := k.Scope
	if scope == kit.ScopeService {
		scope = ""
	}
	a := query(k.Action(), "revision", strconv.Itoa(k.Revision.Number), "variant", k.Variant, "scope", scope, "kit",
		k.Kept, "list", k.List)
	if len(a) > maxShared {
		return ""
	}
	return a
}

// kitForm is the form with who fills it in.
type kitForm struct {
	Visit *visit
	Kit   *kitView
}

// kitCheck asks for a list and shows what it does for the board.
func (p *Pages) kitCheck(c echo.Context, v *visit) error {
	k, err := p.checkKit(c)
	if err != nil {
		return err
	}
	if k.Report != nil {
		k.show()
	}
	status := http.StatusOK
	if k.Refusal != nil {
		status = http.StatusUnprocessableEntity
	}
	return p.render(c, status, "kit-check", view{Title: titled(t("kit.title"), k.Name()), Nav: "home", Wide: true,
		Visit: v,
		JSON:  "/v1/boards/" + k.Board.ID + "/map", Body: k})
}

// checkKit reads the form and reconciles; with an empty form it only gets the
// board ready.
func (p *Pages) checkKit(c echo.Context) (*kitView, error) {
	b, err := p.loadBoard(c)
	if err != nil {
		return nil, err
	}
	k := &kitView{boardPage: b, Scope: kit.ScopeService}
	for _, name := range []string{"only", "scope"} { // a choice wins over what stands beside it
		if s := strings.TrimSpace(c.FormValue(name)); s != "" {
			k.Scope = s
		}
	}
	k.Kept = strings.TrimSpace(c.FormValue("kit"))
	if k.Kept+c.QueryParam("list") == "" && c.Request().Method != http.MethodPost {
		return k, nil
	}
	if k.Kit, err = p.kitOf(c, k); err != nil {
		return k, k.refuse(err)
	}
	if k.Kit == nil {
		return k, nil
	}
	report, err := kit.Reconcile(kit.Request{Map: b.Map, Kit: k.Kit, Scope: kit.ParseScope(k.Scope),
		Revision: b.Revision.Number,
		Variant:  b.Variant, Digest: b.Revision.Digest, Others: p.store.Builds(c.Request().Context(), b.Revision),
		Problems: k.Problems})
	if err != nil {
		return k, k.refuse(err)
	}
	k.Report = &report
	return k, nil
}

// refuse keeps a refusal for the page; other errors go on.
func (k *kitView) refuse(err error) error {
	if _, ok := refused(err); !ok && !fault.Is(err, fault.NotFound) {
		return err
	}
	k.Refusal, _ = fault.As(err)
	return nil
}

// kitOf is the kit of the form: an uploaded file, else what was pasted, else a
// kept kit.
func (p *Pages) kitOf(c echo.Context, k *kitView) (*kit.Kit, error) {
	data, err := upload(c, "file", maxList)
	if err != nil {
		return nil, err
	}
	if len(data) == 0 {
		data = []byte(c.FormValue("list"))
	}
	if len(bytes.TrimSpace(data)) == 0 {
		if k.Kept == "" {
			return nil, fault.New(fault.Invalid, "kit-refused", "page.kit.empty")
		}
		kept, err := p.store.Kit(c.Request().Context(), k.Kept, 0)
		if err != nil {
			return nil, err
		}
		return kept.Kit, nil
	}
	k.List, k.Kept = string(data), ""
	read, problems, err := schema.OpenKit(data, "")
	k.Problems = problems
	return read, err
}

// upload is the bytes of a form's file, nil where none came.
func upload(c echo.Context, field string, most int64) ([]byte, error) {
	f, head, err := c.Request().FormFile(field)
	if err != nil || head.Size == 0 {
		return nil, nil // no file in the form
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > most {
		return nil, fault.New(fault.Invalid, "file-too-large", "page.file.large", most>>20)
	}
	return data, nil
}

// uploads reads every file of a form's field.
func uploads(c echo.Context, field string, most int64) ([][]byte, error) {
	form := c.Request().MultipartForm
	if form == nil {
		return nil, nil
	}
	var out [][]byte
	for _, head := range form.File[field] {
		if head.Size == 0 {
			continue // nothing was chosen
		}
		if head.Size > most {
			return nil, fault.New(fault.Invalid, "file-too-large", "page.file.large", most>>20)
		}
		f, err := head.Open()
		if err != nil {
			return nil, err
		}
		data, err := io.ReadAll(f)
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		out = append(out, data)
	}
	return out, nil
}

// show puts the result on the drawing and sorts positions into those to look
// at and the rest.
func (k *kitView) show() {
	o := k.drawingOptions()
	o.Badges = paper.Badges(k.Report)
	o.Link = k.DetailLink
	k.Top, k.Bottom = sides(k.Map, o)
	k.Moments = momentsOf(kitCautions(k.Report.Cautions))
	for _, r := range k.Report.Runs() {
		table := &k.Look
		if r.Fit == kit.Match || r.Fit == kit.Suitable {
			table = &k.Fine
		}
		table.Rows = append(table.Rows, r)
		table.Count += len(r.Designators)
	}
	k.Look.Title, k.Fine.Title = t("kit.look", k.Look.Count), t("kit.fine", k.Fine.Count)
}

// kitReport is the result as a PDF; the form that shows the result posts the
// list again, so that nothing has to be kept.
func (p *Pages) kitReport(c echo.Context, _ *visit) error {
	k, err := p.checkKit(c)
	if err != nil {
		return err
	}
	if k.Refusal != nil {
		return k.Refusal
	}
	if k.Report == nil {
		return fault.New(fault.Invalid, "kit-refused", "page.kit.empty")
	}
	b, err := paper.Report(k.paper(languageOf(c)), k.Report)
	if err != nil {
		return err
	}
	return sendPDF(c, k.Board.ID+"-kit-report-r"+strconv.Itoa(k.Revision.Number)+".pdf", b)
}

func sendPDF(c echo.Context, name string, b []byte) error {
	h := c.Response().Header()
	h.Set("Content-Disposition", `inline; filename="`+name+`"`)
	if err := api.Bounded(c, len(b)); err != nil {
		return err
	}
	return api.Send(c, http.StatusOK, "application/pdf", b)
}
