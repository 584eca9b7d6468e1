package board

import (
	"slices"
	"strings"

	"boardlore/domain/part"
)

// quietWords are further words that say nothing of directions, ratings or
// substitutes where nothing has a direction: what mechanisms and contacts are
// made of and do, where a resistor sits, what is seen and heard. Common practice
// of service notes.
var quietWord = wordSet(quietWords)

// buildWord is for how builds are told apart: countries, plates, numbers, looks.
var buildWord = wordSet(buildWords)

// boardWord is for the names of boards.
var boardWord = wordSet(boardWords)

// checkedWord is for the names of checks: of what is measured, and of what it is for.
var checkedWord = wordSet(checkWords + signalWords)

// plainWording tells a text that came, went or was reworded without a word that
// may bear on safety, in either form.
func plainWording(a, b string) bool {
	return sameWords(a, b) || !speaks(anyTopic|unheard, a, b)
}

// quietWording is plainWording where nothing has a direction: words that lead
// somewhere say where the part is to be found.
func quietWording(a, b string) bool {
	return plainWording(a, b) || !turnedRound(a, b) && quiet(a) && quiet(b)
}

// quiet tells a text of plain and quiet words alone, which speaks of nothing grave.
func quiet(text string) bool { return saidWith(text, quietWord, anyTopic&^aboutSafety) }

// saidQuietly tells words at a position, old and new, that bear on nothing there:
// the fewer ways the part can stand, the more may be said of it.
func saidQuietly(s shift, a, b string) bool {
	if more := sentencesMore(a, b); more != "" {
		a, b = "", more
	}
	switch {
	case plainWording(a, b):
		return true
	case turnedRound(a, b), relevant(s.a), relevant(s.b), !guards(s.a).IsZero(), !guards(s.b).IsZero():
		return false
	case leadsAlike(s.a) && leadsAlike(s.b), s.a.Part.Class == part.Potentiometer:
		return quiet(a) && quiet(b)
	}
	return quiet(a) && quiet(b) && !speaks(leads, a, b)
}

// sentencesMore gives what stands behind a text that is otherwise as it was, in
// sentences of their own which take nothing back; nothing where there is none.
func sentencesMore(a, b string) string {
	a = strings.TrimRight(a, ". ")
	more, is := strings.CutPrefix(b, a+". ")
	if a == "" || !is || denials(more) > 0 {
		return ""
	}
	return more
}

// saidWith tells a text of which every word is plain or of a list, every figure
// measured or counted, and that is of none of some topics.
func saidWith(text string, list map[string]bool, of topic) bool {
	if text == "" {
		return true
	}
	lower := strings.ToLower(bare(text))
	if topicsIn(text, 0)&of != 0 || alike.MatchString(lower) || nounless.MatchString(lower) {
		return false
	}
	ignored := false
	for word := range strings.FieldsFuncSeq(figured.ReplaceAllStringFunc(plainPhrases.Replace(withoutNames(lower,
		&ignored)), unlessPlain), betweenWords) {
		if word = strings.Trim(word, "-−+"); word == rating || word != "" && !isPlain(word) && !colourWord[word] &&
			!list[word] && !list[strings.TrimSuffix(word, "s")] {
			return false
		}
	}
	return true
}

// moreWords tells that what a text gained and lost is of words that bear on
// nothing.
func moreWords(a, b string) bool {
	x, y := wordsOf(a), wordsOf(b)
	return !slices.ContainsFunc(slices.Concat(without(x, y), without(y, x)), func(word string) bool {
		return !signalWord[word] && !isPlain(word) && !quietWord[word] && !namedPart.MatchString(word) &&
			part.DutyOf(word) == 0
	}) && !speaks(aboutPower|aboutSubstitute|aboutEase|unread, strings.Join(without(y, x), " "))
}

// ofSignal tells a function of which every word is of signals, controls or
// displays; none is none that protects.
func ofSignal(function string) bool {
	for _, word := range wordsOf(function) {
		word = strings.Trim(word, "-−+")
		if word != "" && !signalWord[word] && !signalWord[strings.TrimSuffix(word, "s")] && !isPlain(word) &&
			!namedPart.MatchString(word) && !isFigure(word) && !signalParts(word) {
			return false
		}
	}
	return !protectsBy(&Position{Function: function})
}

func signalParts(word string) bool {
	if !strings.Contains(word, "-") {
		return false
	}
	for part := range strings.SplitSeq(word, "-") {
		if !signalWord[part] && !isPlain(part) {
			return false
		}
	}
	return true
}

// signalWord is for the functions of signals, controls, displays and small loads.
var signalWord = wordSet(signalWords)
