package pages

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
)

// sheet is the board sheet as a PDF: cautions, failure points, drawing,
// positions in working order with a box to tick, checks.
func (p *Pages) sheet(c echo.Context, _ *visit) error {
	b, err := p.loadBoard(c)
	if err != nil {
		return err
	}
	pdf, err := sheetPDF(b)
	if err != nil {
		return err
	}
	return sendPDF(c, b.Board.ID+"-r"+strconv.Itoa(b.Revision.Number)+".pdf", pdf)
}

func sheetPDF(b *boardView) ([]byte, error) {
	p := newPaper(b.Map.Name, footLine(b), b.Revision.ReleasedAt)
	sheetHead(p, b, t("pdf.sheet"))
	writeCautions(p, b.Cautions)
	writeFailures(p, b.Failures)
	for _, side := range []string{drawing.Top, drawing.Bottom} {
		if populated(b.Map, side) {
			o := b.drawingOptions()
			o.Side = side
			p.draw(drawing.Layout(b.Map, o), 200)
		}
	}
	writePositions(p, workingOrder(b.Map, func(q *board.Position) bool { return !has(q, "leave") }))
	p.Ln(1)
	p.text("I", t("pdf.left", b.Counts["leave"]))
	writeChecks(p, t("check.before"), b.Before)
	writeChecks(p, t("check.after"), b.After)
	return p.bytes()
}

func footLine(b *boardView) string {
	return t("pdf.foot", b.Board.ID, b.Revision.Number, first(b.Variant, t("variants.base")), b.Revision.Digest)
}

func first(ss ...string) string {
	for _, s := range ss {
		if s != "" {
			return s
		}
	}
	return ""
}

func sheetHead(p *paper, b *boardView, what string) {
	m := b.Map
	p.style("B", 17)
	p.CellFormat(textWide, 8, m.Name, "", 1, "L", false, 0, "")
	p.style("", bodySize)
	line := m.Equipment.Maker + " " + m.Equipment.Model
	if len(m.Markings) > 0 {
		line += " · " + t("board.markings") + " " + strings.Join(m.Markings, ", ")
	}
	p.CellFormat(textWide, 5, line, "", 1, "L", false, 0, "")
	p.CellFormat(textWide, 5, fmt.Sprintf("%s · %s, %s", what, t("board.revision", b.Revision.Number), date(b.Revision.ReleasedAt)), "", 1, "L", false, 0, "")
	if b.Build != nil {
		p.CellFormat(textWide, 5, b.Build.Title+" · "+t("variants.by")+" "+b.Build.IdentifiedBy, "", 1, "L", false, 0, "")
	}
}

func writeCautions(p *paper, cs []caution) {
	if len(cs) == 0 {
		return
	}
	p.heading(t("cautions.title"))
	for _, c := range cs {
		style := ""
		if c.Grave {
			style = "B"
		}
		p.bullet(style, strings.TrimSpace(c.Moment+" "+c.Text))
	}
}

func writeFailures(p *paper, fs []failure) {
	if len(fs) == 0 {
		return
	}
	p.heading(t("failure.title"))
	for _, f := range fs {
		title := f.Title + " (" + t("severity."+f.Severity) + ")"
		if f.Bars {
			title += " – " + t("failure.bars")
		}
		p.bullet("B", title)
		p.text("", strings.TrimSpace(f.Mechanism+" "+f.Remedy))
		if len(f.Positions) > 0 {
			p.text("", t("failure.positions")+": "+strings.Join(f.Positions, ", "))
		}
	}
}

var positionColumns = []columnOf{{6, "", ""}, {20, "col.designator", "B"}, {106, "col.part", ""}, {22, "col.service", ""}, {32, "position.notes", ""}}

// titled gives columns their titles in the pages' language.
func titled(cols []columnOf) []columnOf {
	out := make([]columnOf, len(cols))
	for i, c := range cols {
		if out[i] = c; c.title != "" {
			out[i].title = t(c.title)
		}
	}
	return out
}

func writePositions(p *paper, areas []area) {
	cols := titled(positionColumns)
	p.heading(t("positions.title"))
	for _, a := range areas {
		p.room(20)
		p.style("B", bodySize)
		p.Ln(1)
		p.CellFormat(textWide, 6, t("side."+a.Side)+", "+t("zone", a.Zone), "", 1, "L", false, 0, "")
		p.tableHead(cols)
		for _, q := range a.Positions {
			text := partText(q.Part)
			if q.Replacement != nil {
				text = t("position.fit") + " " + partText(q.Replacement.Part) + " (" + text + ")"
			}
			p.row(cols, []string{"", q.Designator, text, t("service." + first(q.Service, "leave")), noteText(q)})
		}
	}
}

func noteText(q *board.Position) string {
	var ws []string
	if q.Glued != nil && *q.Glued {
		ws = append(ws, t("position.glued"))
	}
	if q.Negative != nil {
		ws = append(ws, t("position.negative.short", number(*q.Negative)))
	}
	if q.Function != "" {
		ws = append(ws, q.Function)
	}
	return strings.Join(ws, ", ")
}

var checkColumns = []columnOf{{6, "", ""}, {72, "check.what", ""}, {64, "check.between", ""}, {44, "check.expect", ""}}

func writeChecks(p *paper, title string, ks []board.Measurement) {
	if len(ks) == 0 {
		return
	}
	cols := titled(checkColumns)
	p.heading(t("check.title") + ": " + title)
	p.tableHead(cols)
	for _, k := range ks {
		expect := ""
		if k.Expect != nil {
			if !k.Expect.Min.IsZero() {
				expect = t("check.from") + " " + k.Expect.Min.String() + " "
			}
			if !k.Expect.Max.IsZero() {
				expect += t("check.to") + " " + k.Expect.Max.String()
			}
		}
		p.row(cols, []string{"", strings.TrimSpace(k.Title + " " + k.Note), t("measure."+k.Measure) + ": " + strings.Join(k.Between, ", "), strings.TrimSpace(expect)})
	}
}

// reportPDF is a kit's report: outcome, cautions, what to look at, drawing,
// then everything.
func reportPDF(k *kitView) ([]byte, error) {
	r := k.Report
	p := newPaper(k.Map.Name+", "+t("pdf.report"), footLine(k.boardView), k.Revision.ReleasedAt)
	sheetHead(p, k.boardView, t("pdf.report"))
	p.heading(t("outcome." + r.Outcome))
	p.text("", t("kit.summary", r.Summary.Filled, r.Summary.Positions, r.Summary.Unfilled, r.Summary.Flagged, r.Summary.Surplus))
	writeCautions(p, kitCautions(r))
	if len(r.Flags) > 0 {
		p.heading(t("kit.flags"))
		for _, f := range r.Flags {
			style := ""
			if f.Severity == finding.Stop {
				style = "B"
			}
			p.bullet(style, strings.TrimSpace(t("finding."+string(f.Severity))+": "+f.Designator+" "+f.Sentence))
		}
	}
	writeMoves(p, r)
	for _, side := range []string{drawing.Top, drawing.Bottom} {
		if populated(k.Map, side) {
			o := k.drawingOptions()
			o.Side, o.Badges = side, badges(r)
			p.draw(drawing.Layout(k.Map, o), 170)
		}
	}
	writeFits(p, t("kit.look", len(k.Look)), k.Look)
	writeFits(p, t("kit.fine", len(k.Fine)), k.Fine)
	writePurchases(p, r)
	return p.bytes()
}

func writeMoves(p *paper, r *kit.Report) {
	if len(r.Rearrangement) > 0 {
		p.heading(t("kit.moves"))
		for _, m := range r.Rearrangement {
			p.bullet("", m.Sentence)
		}
	}
	if len(r.BetterFit) > 0 {
		p.heading(t("kit.better"))
		for _, b := range r.BetterFit {
			p.bullet("", b.Sentence)
		}
	}
}

var fitColumns = []columnOf{{6, "", ""}, {20, "col.designator", "B"}, {112, "kit.wanted", ""}, {16, "kit.col.line", ""}, {32, "kit.fit", ""}}

func writeFits(p *paper, title string, rows []kit.PositionReport) {
	if len(rows) == 0 {
		return
	}
	cols := titled(fitColumns)
	p.heading(title)
	p.tableHead(cols)
	for _, r := range rows {
		line := "–"
		if r.Line != nil {
			line = strconv.Itoa(*r.Line)
		}
		text := partText(r.Wanted)
		for _, f := range r.Findings {
			text += "\n" + t("finding."+string(f.Severity)) + ": " + f.Sentence
		}
		p.row(cols, []string{"", r.Designator, text, line, t("fit." + r.Fit)})
	}
}

var buyColumns = []columnOf{{6, "", ""}, {18, "kit.quantity", "B"}, {106, "col.part", ""}, {56, "kit.for", ""}}

func writePurchases(p *paper, r *kit.Report) {
	if len(r.ToBuy) == 0 {
		return
	}
	cols := titled(buyColumns)
	p.heading(t("kit.buy"))
	p.tableHead(cols)
	for _, b := range r.ToBuy {
		p.row(cols, []string{"", strconv.Itoa(b.Quantity) + " ×", partText(b.Part), strings.Join(b.For, ", ")})
	}
}
