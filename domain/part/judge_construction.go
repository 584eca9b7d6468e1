package part

import "boardlore/domain/quantity"

// construction judges one kind of capacitor in place of another.
func (j *judgement) construction() {
	w, o := j.w.group, j.o.group
	if j.w.Construction == j.o.Construction {
		return
	}
	switch {
	case w == o && w != unknownGroup:
		if j.w.Construction != "" && j.o.Construction != "" {
			j.hit(constructionNote) // film and paper
		}
	case w == unknownGroup:
		j.hit(constructionUnasked)
	case o == unknownGroup:
		// A part that is called bipolar is an electrolytic: of no other is it said.
		bipolar := w == wetAluminium && j.w.polarity < 0 && j.o.polarity < 0
		if !bipolar && j.duty.any(tight|Coupling|RegulatorOutput|SwitchingOutput) {
			j.hit(constructionUnknownMatters)
		} else {
			j.hit(constructionUnknown)
		}
	case w == superGroup || o == superGroup:
		j.hit(superDiffers)
	default:
		j.changed(w, o)
	}
	if w.resistive() && j.duty.any(RegulatorOutput) && (o.polymer() || o.nonpolar()) {
		j.hit(regulatorESR)
	}
}

func (j *judgement) changed(w, o group) {
	switch o {
	case polymerAluminium, polymerTantalum:
		j.toPolymer(w)
	case mnTantalum:
		j.toTantalum(w)
	case wetAluminium:
		j.toWet(w)
	case ceramicGroup:
		j.toCeramic(w)
	default:
		j.toFilm(w)
	}
}

func (j *judgement) toPolymer(w group) {
	switch {
	case w.polymer():
		j.hit(constructionNote)
	case j.duty.any(leaky):
		j.hit(polymerLeaks)
	case w.nonpolar() && j.duty.any(tight):
		j.hit(electrolyticTight)
	case w.nonpolar():
		j.hit(electrolyticForFilm)
	case j.duty.any(supply):
		j.hit(polymerShorts)
	default:
		j.hit(polymerAsk)
	}
}

func (j *judgement) toTantalum(w group) {
	switch {
	case w.nonpolar() && j.duty.any(tight):
		j.hit(electrolyticTight)
	case w.nonpolar():
		j.hit(electrolyticForFilm)
	case j.duty.any(SupplyInput):
		j.hit(tantalumInrush)
	case j.duty&works == 0:
		j.hit(tantalumAsk)
	default:
		j.hit(constructionNote)
	}
}

func (j *judgement) toWet(w group) {
	switch {
	case w.nonpolar() && j.duty.any(tight):
		j.hit(electrolyticTight)
	case w.nonpolar():
		j.hit(electrolyticForFilm)
	case j.duty.any(SwitchingOutput) || w.polymer() && !j.duty.any(leaky):
		if j.w.ESRMax.IsZero() || j.o.ESRMax.IsZero() {
			j.hit(wetForDry)
		} else {
			j.hit(constructionNote)
		}
	case j.duty.any(tight):
		j.hit(wetLeaks)
	default:
		j.hit(constructionNote)
	}
}

func (j *judgement) toCeramic(w group) {
	stable := j.o.dielectric.class == 1
	switch {
	case !stable && j.duty.any(tight):
		j.hit(ceramicTight)
	case !stable && j.duty.any(Coupling):
		j.hit(ceramicCoupling)
	case !stable && !j.duty.any(works):
		j.hit(ceramicAsk)
	case (w == micaGroup || w == filmGroup) && j.duty.any(tight):
		j.hit(ceramicNote)
	default:
		j.hit(constructionNote)
	}
	if j.duty.any(SupplyInput) && w.electrolytic() {
		j.hit(ceramicRings)
	}
}

func (j *judgement) toFilm(w group) {
	if j.duty.any(tight) && w.nonpolar() && j.w.dielectric.class != 2 {
		j.hit(filmTight)
		return
	}
	j.hit(constructionNote)
}

// bias judges class 2 ceramic, which loses capacitance to the voltage across
// it. Without a maker's curve the loss is taken as a straight line through half
// the capacitance at half the rated voltage, in eighths of the rating.
func (j *judgement) bias() {
	if j.o.group != ceramicGroup || j.w.group == ceramicGroup || j.o.dielectric.class == 1 ||
		j.w.group == unknownGroup || j.o.safety != 0 {
		return // a safety part has an alternating rating and no more capacitance is wanted there
	}
	v, r := j.p.WorkingVoltage, j.o.Voltage
	w, o := j.w.Value, j.o.Value
	if v.IsZero() || r.IsZero() || w.Unit() != quantity.Farad || o.Unit() != quantity.Farad {
		if j.w.group.nonpolar() && j.duty.any(Decoupling) && !j.duty.any(tight|Coupling) {
			j.hit(biasBypass)
		} else {
			j.hit(biasUnknown)
		}
		return
	}
	if v.Sign() < 0 {
		v = v.Neg()
	}
	left := int64(0)
	for eighth := int64(1); eighth < 8 && left == 0; eighth++ {
		if v.CompareScaled(r, eighth, 8) <= 0 {
			left = 1000 - 125*eighth
		}
	}
	switch {
	case left == 0 || o.CompareScaled(w, biasKeeps*10, left) < 0:
		j.hit(biasLoses)
	case left < biasSlight:
		j.hit(biasAsk)
	default:
		j.hit(biasEstimated)
	}
}

// dielectric judges ceramic against ceramic and film against film.
func (j *judgement) dielectric() {
	if j.w.group == ceramicGroup && j.o.group == ceramicGroup {
		j.ceramics()
	}
	if j.w.group == filmGroup && j.o.group == filmGroup {
		j.films()
	}
}

func (j *judgement) ceramics() {
	w, o := j.w.dielectric, j.o.dielectric
	switch {
	case w.class == 0:
		return
	case o.class == 0:
		if j.duty.any(supply) && w.class == 2 && j.w.Value.Compare(biasLarge) < 0 {
			j.hit(dielectricUnknown)
		} else {
			j.hit(dielectricUnknownMatters)
		}
	case w.class == 1 && o.class == 2:
		if j.duty.any(supply) && !j.duty.any(tight|Coupling) {
			j.hit(dielectricBypass)
		} else {
			j.hit(dielectricUnstable)
		}
	case w.class == 2 && o.class == 1:
		j.better(2)
	case w.class == 2 && (o.fall > w.fall || o.rise > w.rise):
		if w.fall > looseFall && j.duty.any(supply) && !j.duty.any(tight|Coupling) {
			j.hit(dielectricWiderBypass)
		} else {
			j.hit(dielectricWider)
		}
	case o.low > w.low || o.high < w.high:
		j.hit(dielectricSpan)
	case j.w.Dielectric != j.o.Dielectric && w != o:
		j.better(1)
	}
}

func (j *judgement) films() {
	w, o := j.w.dielectric.film, j.o.dielectric.film
	pulsed := j.duty.any(Snubber | Oscillator | Filter | MotorRun)
	switch {
	case w == noFilm || w == o:
	case o == noFilm && pulsed:
		j.hit(dielectricUnknownMatters)
	case o == noFilm:
		j.hit(dielectricUnknown)
	case w == polypropylene && pulsed:
		j.hit(filmLossy)
	case w == polypropylene && j.duty&works == 0:
		j.hit(filmAsk)
	case w == polyester && o == polypropylene, w == paperFilm:
		j.better(1)
	case j.duty.any(tight):
		j.hit(filmAsk)
	default:
		j.hit(filmNote)
	}
	if j.duty.any(Snubber) {
		j.hit(pulseUnknown)
	}
}
