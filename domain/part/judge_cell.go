package part

// Shares of the wanted cell's voltage, in percent. Systems of one kind differ by
// less than the first: CR 3 V and BR 2.8 V.
const (
	cellNearShare = 7
	nickelShare   = 20 // 1.2 V nickel cells are sold in place of 1.5 V ones
)

// cellStep is a difference that a circuit for cells of 1.35 to 1.5 V may bear,
// and none for another number of cells.
const (
	cellStep      = 20    // hundredths of a volt
	maxHundredths = 10000 // 100 V, far above any cell
)

// charger is what charges the cell of a place.
type charger struct {
	on     bool   // the circuit charges the cell
	mapped bool   // the map's words say so, not the cell that is wanted
	family system // what it was made for; noSystem where that is not known
}

// charger finds out whether the circuit charges the cell: the cell that is
// wanted, its name or the function says so.
func (g *Judge) charger() (c charger) {
	d := g.duty | DutyOf(g.wanted.Text)
	c.mapped = g.wanted.charge != 1 && d.any(Charged)
	c.on = g.wanted.charge == 1 || c.mapped
	if !c.on {
		return c
	}
	c.family = g.wanted.chemistry.system
	if c.family.rechargeable() {
		return c
	}
	switch {
	case d.any(NickelCell):
		c.family = nickelSystem
	case d.any(LeadCell):
		c.family = leadSystem
	default:
		c.family = noSystem
	}
	return c
}

func (j *judgement) cell() {
	j.cellVoltage()
	w, o := j.w.charge, j.o.charge
	switch {
	case j.o.contradicts():
		if j.charge.on {
			j.hit(primaryCalledRechargeable)
		} else {
			j.hit(cellContradicts)
		}
	case j.charge.on:
		j.chargedCell(o)
	case w == -1 && o == 1:
		j.hit(chargedInPrimary)
	case w == -1 && o == 0, w == 0 && o != 0:
		j.hit(chargeUnasked)
	case w == 0:
		j.hit(chargeBothUnknown)
	}
	if !j.charge.on {
		j.chemistry()
	}
	switch {
	case j.w.traits&tabbed != 0 && j.o.traits&tabbed == 0:
		j.hit(tabsMissing)
	case j.w.traits&tabbed == 0 && j.o.traits&tabbed != 0:
		j.hit(tabsUnasked)
	}
}

// contradicts reports whether a cell is called rechargeable although its
// chemistry can't be charged.
func (c *Candidate) contradicts() bool {
	return c.chemical && !c.chemistry.rechargeable && c.Rechargeable != nil && *c.Rechargeable
}

// chargedCell judges a cell where the circuit charges it, by what it was made to
// charge.
func (j *judgement) chargedCell(o int8) {
	if o == -1 {
		if j.charge.mapped {
			j.hit(primaryMapped)
		} else {
			j.hit(primaryCharged)
		}
		return
	}
	if j.w.Chemistry != "" && j.w.Chemistry == j.o.Chemistry {
		return
	}
	switch chargedThere(j.charge.family, j.o.chemistry.system, j.w.chemistry.family == j.o.chemistry.family) {
	case cellOK:
	case cellForbidden:
		if j.o.chemistry.system.lithium() {
			j.hit(lithiumCharged)
		} else {
			j.hit(chargerDiffers)
		}
	case cellDoubtful:
		j.hit(chargeChemistry)
	case cellUnknown:
		if o == 0 {
			j.hit(chargeUnknown)
		}
		if j.w.Chemistry != "" {
			j.hit(chemistryUnknown)
		}
	}
}

// cellVoltage judges the nominal voltage by its share of the one asked for.
func (j *judgement) cellVoltage() {
	w, o := j.w.Voltage, j.o.Voltage
	apart := func(percent int64) bool {
		return o.CompareScaled(w, 100+percent, 100) > 0 || o.CompareScaled(w, 100-percent, 100) < 0
	}
	switch {
	case w.IsZero() && o.IsZero():
		j.hit(voltageBothUnknown)
	case w.IsZero():
		j.hit(voltageUnasked)
	case o.IsZero():
		j.hit(voltageUnknown)
	case w == o:
	case !apart(cellNearShare):
		j.hit(cellVoltageNear)
	case whole(w, -2, 0, maxHundredths)-whole(o, -2, 0, maxHundredths) <= cellStep &&
		whole(o, -2, 0, maxHundredths)-whole(w, -2, 0, maxHundredths) <= cellStep,
		!j.charge.on && j.o.chemistry.system == nickelSystem && o.Compare(w) < 0 && !apart(nickelShare):
		j.hit(cellVoltageAsk)
	default:
		j.hit(cellVoltageDiffers)
	}
}

// chemistry judges one chemistry in place of another where nothing charges it.
func (j *judgement) chemistry() {
	w, o := j.w.chemistry, j.o.chemistry
	ok1, ok2 := j.w.chemical, j.o.chemical
	switch {
	case j.w.Chemistry == j.o.Chemistry || j.w.Chemistry == "" || ok1 && ok2 && w.family == o.family:
	case j.o.Chemistry == "":
		j.hit(chemistryUnknown)
	case !ok1 || !ok2:
		j.hit(chemistryDiffers)
	case w.rechargeable != o.rechargeable:
		// told by the rules for charging
	case w.family == "CR" && o.family == "BR", w.family == "LR" && o.family == "SR":
		j.better(2)
	default:
		j.hit(chemistryDiffers)
	}
}

// rechargeability is 1 for rechargeable, -1 for primary, 0 for not known.
func rechargeability(p *Part) int {
	switch {
	case p.Rechargeable != nil && *p.Rechargeable:
		return 1
	case p.Rechargeable != nil:
		return -1
	}
	c, ok := chemistryOf(p.Chemistry)
	switch {
	case !ok || c.system == anyLithium:
		return 0
	case c.rechargeable:
		return 1
	}
	return -1
}
