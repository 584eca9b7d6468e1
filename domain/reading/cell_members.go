package reading

import (
	"strconv"

	"boardlore/domain/quantity"
)

// cells fills what a cell's code implies and the text does not spell out.
func (p *partReader) cells() {
	defer p.charging()
	first := true
	p.each(func(s *span) bool {
		if p.of != cellClass || !first {
			if p.of == cellClass {
				p.doubt("reading.two-cells")
			}
			return false
		}
		first = false
		p.cell(s)
		return true
	}, actCell)
}

// charging doubts a chemistry that is never, or always, charged again.
func (p *partReader) charging() {
	again := p.members["rechargeable"]
	if p.of != cellClass || again == "" {
		return
	}
	switch c := p.members["chemistry"]; c {
	case "Ni-Cd", "Ni-MH", "Pb", "LIR", "VL", "ML", "MS", "MT":
		if again == "false" {
			p.doubt("reading.cell-rechargeable", c)
		}
	case "CR", "BR", "ER", "LR", "SR", "PR", "R":
		if again == "true" {
			p.doubt("reading.cell-primary", c)
		}
	}
}

func (p *partReader) cell(s *span) {
	c, _ := cellOf([]byte(s.name))
	if p.members["chemistry"] == "" {
		p.name("chemistry", c.family.chemistry, s.i, s.j)
	} else if p.members["chemistry"] != c.family.chemistry {
		p.doubt("reading.cell-chemistry", p.members["chemistry"], c.family.chemistry)
	}
	if q, _ := quantity.Parse(c.family.volts); !p.volts.IsZero() && (p.volts.CompareScaled(q, 3, 2) > 0 ||
		p.volts.CompareScaled(q, 2, 3) < 0) {
		p.doubt("reading.cell-voltage", q, p.volts)
	}
	if p.members["voltage"] == "" {
		volts := c.family.volts
		if p.members["chemistry"] == "BR" && s.name[2:] == "2032" {
			volts = "2.8 V" // as its table prints it
		}
		q, _ := quantity.Parse(volts)
		p.rate("voltage", q, s.i, s.j)
	}
	if p.members["rechargeable"] == "" {
		p.flag("rechargeable", strconv.FormatBool(c.family.rechargeable), s.i, s.j)
	} else if p.members["rechargeable"] != strconv.FormatBool(c.family.rechargeable) {
		p.doubt(kindOfCell(c.family.rechargeable), p.source(s.i, s.j))
	}
	p.cellBody(&c, s)
	p.keep(upper(s.name), s.i, s.j)
}

func kindOfCell(rechargeable bool) string {
	if rechargeable {
		return "reading.cell-is-rechargeable"
	}
	return "reading.cell-is-primary"
}

func (p *partReader) cellBody(c *cellCode, s *span) {
	b := &p.body
	if c.body.diameter == 0 || b.diameter != 0 || b.height != 0 || b.length != 0 {
		return
	}
	p.measure(&b.diameter, "body.diameter_mm", c.body.diameter, s.i, s.j)
	if c.body.diameter > c.body.height {
		p.measure(&b.height, "body.height_mm", c.body.height, s.i, s.j)
		p.shape("coin", s.i, s.j)
	} else {
		p.measure(&b.length, "body.length_mm", c.body.height, s.i, s.j)
	}
	if c.byRule {
		p.doubt("reading.cell-size", p.source(s.i, s.j))
	}
}
