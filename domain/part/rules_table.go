package part

import "boardlore/domain/finding"

const (
	practice = "basis.common-practice"
	stop     = finding.Stop
	caution  = finding.Caution
	note     = finding.Note
)

// hazards are the cautions that stay as grave where the wanted part has the same
// fault, as every stop does: the map then contradicts itself or says too little,
// and the person at the bench must not be the one to pay.
var hazards = setOf(breakingBothUnknownMains, cellContradicts)

// stops are the rules that forbid a part.
var stops = func() (s ruleSet) {
	for id := range ruleID(len(rules)) {
		if rules[id].severity == stop {
			s[id/64] |= 1 << (id % 64)
		}
	}
	return s
}()

func setOf(ids ...ruleID) (s ruleSet) {
	for _, id := range ids {
		s[id/64] |= 1 << (id % 64)
	}
	return s
}

// rules is the table, put together from the files that hold its rows by what
// they are about. Each row stands alone; what they compare is in the functions
// that name them.
var rules = func() (all [ruleCount]rule) {
	for _, some := range []*[ruleCount]rule{&capacitorRules, &safetyRules, &partRules, &fuseAndCellRules, &bodyRules} {
		for id := range some {
			if some[id].code != "" {
				all[id] = some[id]
			}
		}
	}
	return all
}()
