package reading

import (
	"bytes"
	"strings"

	"boardlore/domain/quantity"
)

// codes notes words that mean something by their form: safety classes, dielectrics, chip sizes, letters.
func (r *reader) codes(i int) {
	if r.atoms[i].sort == quoted {
		r.add(span{i: i, j: i + 1, act: actText, rule: "quoted", label: "quoted"})
		return
	}
	if r.atoms[i].sort == sign || r.glued(i) {
		return
	}
	j := r.runEnd(i)
	low := r.runLow(i, j)
	if int(r.atoms[j-1].hi-r.atoms[i].lo) != len(low) {
		return // codes are plain
	}
	r.safetyAt(i, j, low)
	r.dielectricAt(i, j, low)
	if r.isFigures(i) {
		r.chipAt(i, j, low)
		r.chargeAt(i)
		r.climateAt(i)
	}
	r.letterAt(i, j)
	r.turnsAt(i)
}

// turnsAt notes how many turns a potentiometer has: 25T, 25-turn, 10 turns.
func (r *reader) turnsAt(i int) {
	k := i + 1
	if r.isSign(k, '-') {
		k++
	}
	if r.isFigures(i) && (r.isWord(k, "turn", "turns", "gang", "tours", "umdrehungen", "giri", "vueltas", "обор") ||
		r.isWord(k, "t") && r.glued(k)) && !r.glued(k+1) {
		r.add(span{i: i, j: k + 1, act: actPrice, lean: 6, rule: "turns", holds: potentiometerClass})
	}
}

// isSafety recognises X2, Y1 and pairs such as X1Y2.
func isSafety(low []byte) bool {
	switch len(low) {
	case 2:
		return low[0] == 'x' && low[1] >= '1' && low[1] <= '3' || low[0] == 'y' && low[1] >= '1' && low[1] <= '4'
	case 4:
		return isSafety(low[:2]) && isSafety(low[2:])
	}
	return false
}

func (r *reader) safetyAt(i, j int, low []byte) {
	if !isSafety(low) {
		return
	}
	name := strings.ToUpper(string(low))
	if r.isSign(j, '/') && r.touches(j) && j+1 < len(r.atoms) && r.touches(j+1) {
		if k := r.runEnd(j + 1); len(low) == 2 && isSafety(r.runLow(j+1, k)) && k-j == 3 {
			name, j = name+"/"+strings.ToUpper(string(r.runLow(j+1, k))), k
		}
	}
	s := span{i: i, j: j, act: actSafety, name: name, holds: capacitorClass, argues: capacitorClass, bonus: 15, lean: 3}
	if both := strings.IndexByte(name, '/'); both > 0 && name[0] == name[both+1] {
		s.doubts = say("reading.two-safety-classes", name)
	}
	r.add(s)
}

var class1 = sets["class 1"]

// dielectricAt notes an EIA code of a ceramic. Old slopes such as N750 and Japanese letters are not sure: they may be a
// value or a word.
func (r *reader) dielectricAt(i, j int, low []byte) {
	const longest = 5 // n1500
	if len(low) > longest {
		return
	}
	s := span{i: i, j: j, act: actDielectric, holds: capacitorClass, sure: true, lean: 3}
	switch string(low) {
	case "c0g", "cog", "np0", "npo":
		s.name = "C0G"
	default:
		switch {
		case class2(low):
		case !r.isLower(i) && isIn(class1, low):
			s.sure = len(low) == 3 && low[0] != 'n' && low[0] != 'p' && low[0] >= 'a'
			s.lean = 0
		default:
			return
		}
		s.name = strings.ToUpper(string(low))
	}
	if s.sure {
		s.argues, s.bonus = capacitorClass, 15
	}
	r.add(s)
}

func (r *reader) isLower(i int) bool { c := r.casedOf(i)[0]; return c >= 'a' && c <= 'z' }

// class2 recognises an EIA class 2 code by its three symbols.
func class2(low []byte) bool {
	return len(low) == 3 && strings.IndexByte("xyz", low[0]) >= 0 && strings.IndexByte("2456789", low[1]) >= 0 &&
		strings.IndexByte("abcdefprstuv", low[2]) >= 0
}

// chipAt notes a chip or case code, to be believed once something else is the value: 1206 may also be one.
func (r *reader) chipAt(i, j int, low []byte) {
	const shortest = 4 // 0402
	if len(low) < shortest {
		return
	}
	s := span{i: i, j: j, act: actChip, lean: -5, rule: "chip size"}
	code := bytes.TrimSuffix(low, []byte("metric"))
	s.metric = len(code) < len(low)
	if r.isSign(j, '-') && r.touches(j) && r.isFigures(j+1) && r.touches(j+1) && !r.glued(j+2) {
		if long := string(code) + "-" + string(r.lowOf(j+1)); cases[long] != (chip{}) {
			code, s.j, s.sure, s.lean = []byte(long), j+2, true, 3
		}
	}
	k := s.j
	if r.isSign(k, '(') {
		k++
	}
	if !s.metric && r.isWord(k, "metric", "metrisch", "metrique") {
		s.metric, s.j = true, k+1
	}
	_, inches := chips[string(code)]
	_, metric := metricChips[string(code)]
	if !s.sure && !inches && !metric || s.metric && !metric {
		return
	}
	if s.metric {
		s.sure, s.lean = true, 1
	}
	s.name = string(code)
	s.holds = anyOfThem &^ (cellClass | relayClass | switchClass | connectorClass | transformerClass | transistorClass | circuitClass)
	r.add(s)
}

// chargeAt keeps what a cell holds, 60 mAh, which has no member, and what a transformer bears, 10 VA.
func (r *reader) chargeAt(i int) {
	w, ok := r.numberAt(i)
	if ok && w.den != 0 && w.i == i && r.isWord(w.j, "aa", "a", "n") && r.touches(w.j) && r.isFigures(w.j-1) &&
		w.j == i+3 && r.printOf(w.j)[0] < 'a' && len(r.printOf(w.j)) > 1 {
		r.add(span{i: i, j: w.j + 1, act: actCharge, holds: cellClass, argues: cellClass, bonus: 12, lean: 2,
			name: r.printed(i, w.j+1), rule: "cell size"})
		return
	}
	if !ok || w.den != 0 || w.num.n > 1 || !r.isLetters(w.j) {
		return
	}
	unit := ""
	s := span{i: i, j: w.j + 1, act: actCharge, lean: 1, holds: cellClass, argues: cellClass, bonus: 12}
	switch string(r.lowOf(w.j)) {
	case "mah":
		unit = " mAh"
	case "ah":
		unit = " Ah"
	default:
		return
	}
	s.name = strings.ReplaceAll(r.printOf(i), ",", ".") + unit
	r.add(s)
}

// climateAt notes the climatic category of IEC 60068-1 that safety capacitors bear, such as 40/085/21 or 55/105/56:
// lowest and highest temperature, days of damp heat.
func (r *reader) climateAt(i int) {
	if !r.isSign(i+1, '/') || !r.isFigures(i+2) || !r.isSign(i+3, '/') || !r.isFigures(i+4) || r.glued(i+5) {
		return
	}
	days := r.printOf(i + 4)
	heat := strings.TrimLeft(r.printOf(i+2), "0")
	if !strings.Contains(" 10 25 40 55 65 ", " "+r.printOf(i)+" ") || !strings.Contains(" 04 10 21 56 ", " "+days+
		" ") || !hot([]byte(heat)) {
		return
	}
	d, _ := figuresOf([]byte(heat), -1)
	q, _ := d.times(0, quantity.Celsius)
	s := span{i: i, j: i + 5, act: actAmount, n: 1, lean: 3, holds: capacitorClass, rule: "climatic category"}
	s.q[0] = q
	s.doubts = say("reading.climatic", r.source(i, i+5))
	r.add(s)
}

// letterAt notes a letter that may be a fuse's characteristic, its breaking capacity or a tolerance.
func (r *reader) letterAt(i, j int) {
	if j != i+1 || !r.isLetters(i) || len(r.casedOf(i)) > 2 {
		return
	}
	raw := r.printOf(i)
	if raw == "" || raw[0] >= 0x80 || len(raw) == 2 && !strings.EqualFold(raw, "tt") && !strings.EqualFold(raw, "ff") {
		return
	}
	s := span{i: i, j: j, act: actLetter, name: raw, lean: -4, rule: "letter"}
	r.add(s)
}
