package pages

import (
	"math"
	"net/url"
	"strconv"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/placement"
)

// What an import had to assume is asked on the page until it is answered. An
// answer other than what was assumed changes the places accordingly.

// answer takes the answers of the form, and gives the questions that stay open
// and what the answers did.
func (d *draft) answer(form url.Values, qs []placement.Question) (open []placement.Question, said []message.Message) {
	for _, q := range qs {
		a := form.Get("answer." + q.Code)
		if a == "" && form.Get("answered."+q.Code) == "" {
			open = append(open, q)
			continue
		}
		if len(q.Choices) == 0 || a == "" || a == q.Choices[0] {
			continue
		}
		if s := d.revise(q.Code, q.Choices[0], a); !s.IsZero() {
			said = append(said, s)
		}
	}
	return open, said
}

// unitMM is how many millimetres a unit of a list has.
var unitMM = map[string]float64{"mm": 1, "inch": 25.4, "mil": 0.0254}

func (d *draft) revise(code, was, now string) message.Message {
	switch code {
	case "unit":
		return d.scale(unitMM[now] / unitMM[was])
	case "decimal":
		return d.scale(map[string]float64{"point": 1000, "comma": 0.001}[now])
	case "bottom":
		width, _ := valueAt(d.tree, "frame.width_mm").(float64)
		return d.mirror(width / 2)
	}
	return message.Message{}
}

// scale makes all places so many times as far, and the board with them.
func (d *draft) scale(by float64) message.Message {
	if by == 0 || by == 1 || math.IsInf(by, 0) || math.IsNaN(by) {
		return message.Message{}
	}
	times := func(in map[string]any, path string) {
		if x, ok := valueAt(in, path).(float64); ok {
			put(in, path, math.Round(x*by*1e4)/1e4)
		}
	}
	times(d.tree, "frame.width_mm")
	times(d.tree, "frame.height_mm")
	for i := range d.positions() {
		if o := object(d.positions(), i); o != nil {
			times(o, "x_mm")
			times(o, "y_mm")
		}
	}
	return t("answer.scaled", number(by))
}

// mirror turns the places of the bottom side over at an axis, as a board is
// turned over left to right.
func (d *draft) mirror(axis float64) message.Message {
	n := 0
	for i := range d.positions() {
		o := object(d.positions(), i)
		if o == nil || textAt(o, "side") != string(board.Bottom) {
			continue
		}
		n++
		if x, ok := o["x_mm"].(float64); ok {
			o["x_mm"] = math.Round((2*axis-x)*1e4) / 1e4
		}
		for _, k := range []string{"rotation_deg", "negative_deg"} {
			if deg, ok := o[k].(float64); ok {
				o[k] = math.Mod(540-deg, 360)
			}
		}
	}
	return t("answer.mirrored", n, number(axis))
}

// mirrored does what the form asks of the bottom side.
func (d *draft) mirrored(form url.Values) message.Message {
	axis, ok := typedNumber(form.Get("mirror.axis")).(float64)
	if form.Get("act") != "mirror" || !ok {
		return message.Message{}
	}
	return d.mirror(axis)
}

// HalfWidth is the middle of the board, where it is mirrored unless told otherwise.
func (e *draftView) HalfWidth() string {
	w, _ := strconv.ParseFloat(textAt(e.draft.tree, "frame.width_mm"), 64)
	return number(w / 2)
}
