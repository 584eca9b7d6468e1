package part

// Limits on the outside of a part, in millimetres.
const (
	sameSize      = 0.05 // dimensions nearer than this are equal: below the step of any size series
	sameCell      = 0.1  // a coin cell in its holder: nominal sizes are a step of 0.4 mm apart at least
	sameTall      = 1.0  // a standing cell: IEC 60086-2 lets LR6 be 13.5 to 14.5 mm thick and 49.5 to 50.5 mm long
	sameFuse      = 0.5  // 5 x 20 is often printed 5.2 x 20
	sameCan       = 0.5  // heights of one class: 5.4 and 5.8, 10 and 10.5, 11 and 11.5 (makers' tables)
	sameChip      = 0.1  // 0805 is 2.0 x 1.2 or 1.25
	formablePitch = 2.0  // 1 mm a lead (common practice)
	nearPitch     = 0.5  // 2.0 and 2.5 interchange (makers' pitches by diameter)
	sameDisc      = 1.0  // discs are named by 5, 7, 10, 14 and 20 mm (makers' tables)
)

// room is the outside that an offered part has to fit: the place's, and what
// the place leaves out is taken from the wanted part.
func room(place, wanted *Body) Body {
	r := *place
	if r.Mount == "" {
		r.Mount = wanted.Mount
	}
	if r.Shape == "" {
		r.Shape = wanted.Shape
	}
	for _, d := range [...]struct{ to, from *float64 }{
		{&r.Diameter, &wanted.Diameter}, {&r.Length, &wanted.Length}, {&r.Width, &wanted.Width},
		{&r.Height, &wanted.Height}, {&r.HeightLimit, &wanted.HeightLimit}, {&r.LeadPitch, &wanted.LeadPitch},
	} {
		if *d.to == 0 {
			*d.to = *d.from
		}
	}
	return r
}

// tall is how high the part stands; of a standing can people write the length.
func tall(b *Body) float64 {
	if b.Height != 0 {
		return b.Height
	}
	if b.Shape == "can" {
		return b.Length
	}
	return 0
}

// pitchOf is the lead pitch, for a radial can without one that of its
// diameter.
func pitchOf(b *Body) float64 {
	if b.LeadPitch == 0 && b.Shape == "can" && b.Mount == "through-hole" {
		return RadialPitch(b.Diameter)
	}
	return b.LeadPitch
}

func near(a, b, within float64) bool { return a-b <= within && b-a <= within }

// offeredBody is the outside of the offered part.
func (j *judgement) offeredBody() *Body {
	if j.o.Fitting {
		return &j.w.Body
	}
	return &j.o.Body
}

// outside judges mount, shape and size.
func (j *judgement) outside() {
	want, have := &j.body, j.offeredBody()
	j.mount(want, have)
	switch j.w.kind {
	case cellClass:
		j.cellSize(want, have)
	case fuseClass:
		j.fuseSize(want, have)
	default:
		j.size(want, have)
	}
	j.height(want, have)
}

func (j *judgement) mount(want, have *Body) {
	switch {
	case want.Mount == have.Mount:
	case want.Mount == "":
	case have.Mount == "":
		j.hit(mountUnknown)
	case j.w.kind == capacitorClass && want.Shape != "chip" && have.Shape != "chip":
		j.hit(mountBent)
	default:
		j.hit(mountDiffers)
	}
}

func (j *judgement) size(want, have *Body) {
	chip := want.Shape == "chip" || have.Shape == "chip"
	if want.Shape != "" && have.Shape != "" && want.Shape != have.Shape {
		j.hit(shapeDiffers)
	}
	if chip {
		j.chip(want, have)
		return
	}
	j.diameter(want, have)
	if want.Shape != "can" || have.Shape != "can" {
		if have.Length > want.Length+sameSize && want.Length != 0 {
			j.hit(longer)
		}
	}
	if have.Width > want.Width+sameSize && want.Width != 0 {
		j.hit(wider)
	}
	j.pitch(want, have)
}

func (j *judgement) chip(want, have *Body) {
	switch {
	case want.Length == 0 || want.Width == 0:
	case have.Length == 0 || have.Width == 0:
		j.hit(chipUnknown)
	case !near(want.Length, have.Length, sameChip) || !near(want.Width, have.Width, sameChip):
		j.hit(chipDiffers)
	}
}

func (j *judgement) diameter(want, have *Body) {
	switch {
	case want.Diameter == 0:
	case have.Diameter == 0:
		j.hit(diameterUnknown)
	case near(want.Diameter, have.Diameter, sameSize):
	case have.Diameter > want.Diameter && want.Mount == "surface":
		j.hit(canDiffers)
	case have.Diameter > want.Diameter:
		j.hit(thicker)
	case want.Mount == "surface":
		j.hit(canSmaller)
	case j.w.kind == thermistorClass || j.w.kind == varistorClass:
		if have.Diameter < want.Diameter-sameDisc {
			j.hit(discSmaller)
		}
	default:
		j.better(1)
	}
}

func (j *judgement) pitch(want, have *Body) {
	if want.Mount == "surface" || have.Mount == "surface" {
		return
	}
	w, h := want.LeadPitch, pitchOf(have)
	if w == 0 {
		return
	}
	rigid := have.Shape == "box" || have.Shape == "" && want.Shape == "box"
	switch {
	case h == 0:
		j.hit(pitchUnknown)
	case near(w, h, sameSize):
	case !rigid && near(w, h, nearPitch+sameSize):
		j.hit(pitchNear)
	case !rigid && near(w, h, formablePitch):
		j.hit(pitchFormed)
	case have.LeadPitch == 0:
		j.hit(pitchGuessed)
	default:
		j.hit(pitchDiffers)
	}
}

func (j *judgement) height(want, have *Body) {
	h, limit := tall(have), want.HeightLimit
	if h == 0 {
		if limit != 0 {
			j.hit(heightUnknown)
		}
		return
	}
	if limit != 0 {
		switch vent := j.ventRoom(have); {
		case h > limit:
			j.hit(tooHigh)
		case h+vent/2 > limit:
			j.hit(ventTight)
		case h+vent > limit:
			j.hit(ventClose)
		}
		return
	}
	allowed := sameSize
	if want.Shape == "can" {
		allowed = sameCan + sameSize
	}
	if t := tall(want); t != 0 && h > t+allowed && j.w.kind != cellClass {
		j.hit(taller)
	}
}

// ventRoom is the room above the vent of a wet can in millimetres, from the
// customs of makers' guidelines; 0 for what has no vent.
func (j *judgement) ventRoom(b *Body) float64 {
	if b.Shape != "can" || !j.o.group.wet() {
		return 0
	}
	switch d := b.Diameter; {
	case d < 6.3:
		return 0
	case d <= 16:
		return 2
	case d <= 35:
		return 3
	}
	return 5
}

func (j *judgement) cellSize(want, have *Body) {
	if want.Diameter == 0 && want.Length == 0 {
		j.cellNamed(have)
		return
	}
	wh, hh := want.Height, have.Height
	if wh == 0 {
		wh = want.Length
	}
	if hh == 0 {
		hh = have.Length
	}
	within := sameCell + 1e-9
	if wh > want.Diameter {
		within = sameTall + 1e-9
	}
	switch {
	case have.Diameter == 0 || wh != 0 && hh == 0:
		j.hit(cellSizeUnknown)
	case !near(want.Diameter, have.Diameter, within) || wh != 0 && !near(wh, hh, within):
		j.hit(cellSizeDiffers)
	}
}

// cellNamed judges a cell for a place of unknown size by the names of both.
func (j *judgement) cellNamed(have *Body) {
	known := have.Diameter != 0 || have.Length != 0
	switch compareTypes(j.w.Text, j.o.Text, true) {
	case typeEqual, typeLonger:
	case typeDiffers:
		if !sameCellSize(j.w.Text, j.o.Text) {
			j.hit(typeOther)
		}
	default:
		if known {
			j.hit(cellSizeUnasked)
		} else {
			j.hit(cellSizeBothUnknown)
		}
	}
}

// sameCellSize reports whether two names by IEC 60086 differ in the letters of
// the chemistry alone: 4LR44 and 4SR44.
func sameCellSize(want, have string) bool {
	var a, b typeText
	a.fold(want, false)
	b.fold(have, false)
	i, j, figures := 0, 0, 0
	for {
		for i < a.n && !digit(a.sign[i]) {
			i++
		}
		for j < b.n && !digit(b.sign[j]) {
			j++
		}
		if i == a.n || j == b.n {
			return i == a.n && j == b.n && figures >= 2
		}
		for i < a.n && j < b.n && digit(a.sign[i]) && a.sign[i] == b.sign[j] {
			i, j, figures = i+1, j+1, figures+1
		}
		if i < a.n && digit(a.sign[i]) || j < b.n && digit(b.sign[j]) {
			return false
		}
	}
}

func (j *judgement) fuseSize(want, have *Body) {
	switch {
	case want.Diameter == 0 || want.Length == 0:
		j.hit(fuseSizeUnasked)
	case have.Diameter == 0 || have.Length == 0:
		j.hit(fuseSizeUnknown)
	case !near(want.Diameter, have.Diameter, sameFuse) || !near(want.Length, have.Length, sameFuse):
		j.hit(fuseSizeDiffers)
	}
}
