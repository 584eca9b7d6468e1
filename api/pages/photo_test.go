package pages_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
)

// tilted is a camera over a board of 120 mm × 80 mm: millimetres to pixels of
// an upright picture of 1600 × 1200.
var tilted = [9]float64{10.6, 1.1, 130, 0.7, -10.2, 1040, 0.0011, 0.0009, 1}

func tiltedPixel(x, y float64) (u, v float64) {
	h := tilted
	w := h[6]*x + h[7]*y + h[8]
	return (h[0]*x + h[1]*y + h[2]) / w, (h[3]*x + h[4]*y + h[5]) / w
}

// can is a part of the photographed board: its negative lead and its positive one.
type can struct {
	name, text string
	minus, lug [2]float64
	negative   float64 // degrees
}

// cans are forty two-lead parts with another print on each.
func cans() (out []can) {
	for i := range 40 {
		x, y, deg := 8+float64(i%8)*14.5, 70-float64(i/8)*15, float64(i%4)*90
		dx, dy := math.Cos(deg*math.Pi/180)*1.75, math.Sin(deg*math.Pi/180)*1.75
		out = append(out, can{fmt.Sprintf("C%d", i+1), fmt.Sprintf("%du %dV", 10+i, []int{16, 25, 35, 50}[i%4]),
			[2]float64{x + dx, y + dy}, [2]float64{x - dx, y - dy}, deg})
	}
	return out
}

// turnedPicture is the board as a phone took it on its side: the pixels turned
// by a quarter, and Exif saying so (orientation 6).
func turnedPicture(t *testing.T) string {
	t.Helper()
	const w, h = 1600, 1200
	upright := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range upright.Pix {
		upright.Pix[i] = []byte{70, 60, 50, 255}[i%4]
	}
	spot := func(x, y, r float64, c color.RGBA) {
		for a := -r; a <= r; a += 0.05 {
			for b := -r; b <= r; b += 0.05 {
				if a*a+b*b <= r*r {
					u, v := tiltedPixel(x+a, y+b)
					upright.SetRGBA(int(u), int(v), c)
				}
			}
		}
	}
	for x := 0.0; x <= 120; x += 0.08 {
		for y := 0.0; y <= 80; y += 0.08 {
			u, v := tiltedPixel(x, y)
			upright.SetRGBA(int(u), int(v), color.RGBA{30, 110, 60, 255})
		}
	}
	for _, c := range cans() {
		spot((c.minus[0]+c.lug[0])/2, (c.minus[1]+c.lug[1])/2, 3, color.RGBA{200, 200, 205, 255})
		spot(c.minus[0], c.minus[1], 0.6, color.RGBA{20, 20, 20, 255})
	}
	lying := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			lying.SetRGBA(y, w-1-x, upright.RGBAAt(x, y))
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, lying, &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	tiff := "MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"
	exif := "\xff\xe1" + string([]byte{byte((len(tiff) + 8) >> 8), byte(len(tiff) + 8)}) + "Exif\x00\x00" + tiff
	return "\xff\xd8" + exif + string(b.Bytes()[2:])
}

// mouse presses, moves or lets go.
func (p *person) mouse(kind input.DispatchMouseEventType, x, y float64) {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y,
		Button: "left", Buttons: 1, ClickCount: 1})
	p.ok(err)
}

// onStage is where a spot of the picture, shown whole, lies in the window.
func (p *person) onStage(u, v, wide, high float64) (x, y float64) {
	p.t.Helper()
	b := ask[[4]float64](p,
		`(() => { const b = document.querySelector("#stage").getBoundingClientRect(); return [b.left, b.top, b.width, b.height] })()`)
	k := min(1200/wide, 800/high)
	return b[0] + ((1200-wide*k)/2+u*k)*b[2]/1200, b[1] + ((800-high*k)/2+v*k)*b[3]/800
}

// TestBoardFromPhotograph: a board of forty parts from a bare photograph, each
// with its own print, in under 120 gestures: a click, a drag, a text typed or a
// file chosen is one.
func TestBoardFromPhotograph(t *testing.T) {
	w := newSite(t)
	p := w.person(t, w.author, sees{true, wide})
	p.do(chromedp.EmulateViewport(1280, 1100))
	gestures := 0
	counted := func(act func()) { gestures++; act() }
	p.open("/contribute/photo")
	ask[bool](p, "localStorage.clear() || true")
	p.open("/contribute/photo")
	for _, f := range [][2]string{{"Board ID", "fellside-mixer"}, {"Name of the board", "Mixer"}, {"Maker", "Fellside"},
		{"Model", "MX"}, {"Width, mm", "120"}, {"Height, mm", "80"}} {
		counted(func() { p.fill(f[0], f[1]) })
	}
	counted(func() { p.upload("Photograph of the top side", p.file("board.jpg", turnedPicture(t))) })
	p.until("the photograph is kept", `document.querySelector('[name="top.sha256"]').value.length === 64`)
	if wide := ask[string](p, `document.querySelector('[name="top.wide"]').value`); wide != "1600" {
		t.Fatalf("the picture is not upright: %s pixels wide", wide)
	}
	ask[bool](p, `(document.querySelector("#stage").scrollIntoView({ block: "center", behavior: "instant" }), true)`)
	for _, c := range [][2]float64{{0, 80}, {120, 80}, {120, 0}, {0, 0}} {
		u, v := tiltedPixel(c[0], c[1])
		x, y := p.onStage(u, v, 1600, 1200)
		counted(func() { p.mouse("mousePressed", x, y); p.mouse("mouseReleased", x, y) })
	}
	p.see("mm on average")
	const flat = 1600.0 / 120
	for _, c := range cans() {
		x0, y0 := p.onStage(c.minus[0]*flat, (80-c.minus[1])*flat, 1600, 80*flat)
		x1, y1 := p.onStage(c.lug[0]*flat, (80-c.lug[1])*flat, 1600, 80*flat)
		counted(func() {
			p.mouse("mousePressed", x0, y0)
			p.mouse("mouseMoved", (x0+x1)/2, (y0+y1)/2)
			p.mouse("mouseMoved", x1, y1)
			p.mouse("mouseReleased", x1, y1)
		})
		counted(func() {
			_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: c.text})
			p.ok(err)
		})
	}
	p.see("C40", "49 µF 50 V")
	counted(func() { p.follow("Go on to the map") })
	if gestures >= 120 {
		t.Errorf("it took %d gestures", gestures)
	}
	t.Logf("%d gestures", gestures)
	var m board.Map
	if err := json.Unmarshal([]byte(ask[string](p, `document.querySelector('[name="map"]').value`)), &m); err != nil {
		t.Fatal(err)
	}
	if len(m.Positions) != 40 || len(m.Photographs) != 1 {
		t.Fatalf("%d positions, %d photographs", len(m.Positions), len(m.Photographs))
	}
	for i, c := range cans() {
		q := m.Positions[i]
		off := math.Hypot(q.X-(c.minus[0]+c.lug[0])/2, q.Y-(c.minus[1]+c.lug[1])/2)
		turned := math.NaN()
		if q.Negative != nil {
			turned = math.Abs(math.Remainder(*q.Negative-c.negative, 360))
		}
		if q.Designator != c.name || off > 0.3 || !(turned < 15) || q.Part.Voltage.String() != strings.Split(c.text,
			" ")[1][:2]+" V" {
			t.Errorf("%s: %.2f mm off, turned by %.0f°, %s", q.Designator, off, turned, q.Part.String())
		}
	}
}

// TestPhotographTyped: without scripts the coordinates are typed, and a line that
// can't be read is told while all stays as typed.
func TestPhotographTyped(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	form := map[string]string{"act": "draft", "board": "fellside-mixer", "name": "Mixer", "maker": "Fellside",
		"model": "MX", "width": "100", "height": "80",
		"top.points": "0 800 0 0\n1000 800 100 0\n1000 0 100 80\n0 0 0 80",
		"top.marks":  "C1 200 300 230 300 - | 47u 25V\nU1 600 400\nR1 one two"}
	status, body := v.file("/contribute/photo", "/contribute/photo", form, nil)
	if status != 422 {
		t.Errorf("status %d", status)
	}
	want(t, body, "line 3 cannot be read: R1 one two", "U1 600 400")
	form["top.marks"] = strings.Replace(form["top.marks"], "one two", "700 100 [leave] | 10k", 1)
	form["act"] = "check"
	_, body = v.file("/contribute/photo", "/contribute/photo", form, nil)
	want(t, body, "mm on average", "How are these turned: R1, U1")
	form["act"] = "draft"
	_, body = v.file("/contribute/photo", "/contribute/photo", form, nil)
	want(t, body, "Edit a map", "47 µF", `&#34;negative_deg&#34;:180`, "10 kΩ")
}

// TestPhotographOfKnownBoard: for a board that has a map its size is filled in,
// and what is marked comes into the map, which loses nothing; a part that lies
// the other way round is told.
func TestPhotographOfKnownBoard(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	_, body := v.get("/contribute/photo?board=" + boardID)
	want(t, body, "This board has a map", `data-known="`+boardID+`"`, `name="width" inputmode="decimal" value="`)
	r, err := w.store.Revision(t.Context(), boardID, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	m := r.Map
	k := slices.IndexFunc(m.Positions, func(p board.Position) bool { return p.Side == board.Top && p.Negative != nil })
	p := m.Positions[k]
	a := *p.Negative * math.Pi / 180 // the photograph has ten pixels a millimetre, and the minus lead on the other side
	dot := func(x, y float64) string { return fmt.Sprintf("%.1f %.1f", 10*x, 10*(m.Frame.Height-y)) }
	points := ""
	for _, q := range [][2]float64{{0, 0}, {m.Frame.Width, 0}, {m.Frame.Width, m.Frame.Height}, {0, m.Frame.Height}} {
		points += fmt.Sprintf("%s %g %g\n", dot(q[0], q[1]), q[0], q[1])
	}
	marks := p.Designator + " " + dot(p.X-2*math.Cos(a), p.Y-2*math.Sin(a)) + " " + dot(p.X+2*math.Cos(a), p.Y+2*math.Sin(a)) + " -\n" +
		"X99 " + dot(5, 5) + "\n"
	form := url.Values{"known": {"1"}, "board": {boardID}, "name": {m.Name}, "maker": {m.Equipment.Maker}, "model": {m.Equipment.Model},
		"width": {fmt.Sprint(m.Frame.Width)}, "height": {fmt.Sprint(m.Frame.Height)}, "top.points": {points}, "top.marks": {marks},
		"top.wide": {"4000"}, "top.high": {"4000"}, "act": {"draft"}}
	status, body := v.post("/contribute/photo?board="+boardID, "/contribute/photo", form)
	want(t, body, p.Designator+": in the photograph the minus lead points to", "X99")
	var made board.Map
	if err := json.Unmarshal([]byte(htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])), &made); err != nil || status != 200 {
		t.Fatal(status, err)
	}
	if len(made.Positions) != len(m.Positions)+1 || *made.Positions[k].Negative != *p.Negative || len(made.FailurePoints) != len(m.FailurePoints) {
		t.Errorf("%d positions of %d, %d failure points of %d", len(made.Positions), len(m.Positions), len(made.FailurePoints),
			len(m.FailurePoints))
	}
}
