package part

import (
	"slices"
	"strconv"
	"strings"
)

// shaftWords are the words for the shaft of a potentiometer or switch.
var shaftWords = []string{"shaft", "spindle", "achse", "axe"}

// shaftIn takes the diameter of a shaft, in millimetres, off a text, where
// reading keeps it as "6 mm shaft", as no member has it; 0 where there is none.
func shaftIn(text string) (mm float64, rest string) {
	low := strings.ToLower(text)
	if !slices.ContainsFunc(shaftWords, func(w string) bool { return strings.Contains(low, w) }) {
		return 0, text
	}
	words := strings.Fields(text)
	at := slices.IndexFunc(words, func(w string) bool {
		return slices.Contains(shaftWords,
			strings.Trim(strings.ToLower(w), ",;."))
	})
	if at < 0 {
		return 0, text
	}
	for _, span := range [...][2]int{{at - 2, at + 1}, {at - 1, at + 1}, {at, at + 3}, {at, at + 2}} {
		from, to := span[0], span[1]
		if from < 0 || to > len(words) {
			continue
		}
		said := strings.Join(slices.Concat(words[from:at], words[at+1:to]), "")
		number, ok := strings.CutSuffix(strings.Trim(said, ",;."), "mm")
		if !ok {
			continue
		}
		if d, err := strconv.ParseFloat(strings.ReplaceAll(number, ",", "."), 64); err == nil && d > 0 &&
			d < maxShaft {
			return d, strings.Join(slices.Delete(words, from, to), " ")
		}
	}
	return 0, text
}

// maxShaft is more than the shaft of any potentiometer, in millimetres.
const maxShaft = 100

// shaft judges what a knob has to go on.
func (j *judgement) shaft() {
	switch w, o := j.w.shaft, j.o.shaft; {
	case w == 0 || w == o:
	case o == 0:
		j.hit(shaftUnknown)
	default:
		j.hit(shaftDiffers)
	}
}
