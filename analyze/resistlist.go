package analyze

import (
	"cmp"
	"fmt"
	"slices"
)

// ohms keeps the resistances that are known best.
type ohms struct {
	best  []Resistance
	vague int // steps that could not tell
	more  int // that could, but less well than those kept
}

const ohmsKept = 20

func (l *ohms) add(r Resistance) {
	l.best = append(l.best, r)
	if len(l.best) > ohmsKept {
		worst := 0
		for k := range l.best {
			if l.best[k].OhmU95/l.best[k].Ohm > l.best[worst].OhmU95/l.best[worst].Ohm {
				worst = k
			}
		}
		l.best = slices.Delete(l.best, worst, worst+1)
		l.more++
	}
}

func (l *ohms) absorb(o *ohms) {
	for _, r := range o.best {
		l.add(r)
	}
	l.vague += o.vague
	l.more += o.more
}

func (l *ohms) clone() ohms {
	c := *l
	c.best = slices.Clone(l.best)
	return c
}

// list is what is told: in the order of time, with a count of what is not.
func (l *ohms) list() []Resistance {
	list := append([]Resistance{}, l.best...)
	slices.SortFunc(list, func(a, b Resistance) int { return cmp.Compare(a.AtS, b.AtS) })
	note := ""
	if l.vague > 0 {
		note += fmt.Sprintf("; steps that could not tell: %d", l.vague)
	}
	if l.more > 0 {
		note += fmt.Sprintf("; less certain ones not listed: %d", l.more)
	}
	for k := range list {
		list[k].Method += note
	}
	return list
}

// stepped takes an interval for what its current tells of the resistance.
func (m *Machine) stepped(iv *interval) {
	if o := m.steps.push(iv, &m.amps); o != nil {
		m.resisted(o)
	}
}

// lastStep reads a step that still waited for more rows when the log ended.
func (m *Machine) lastStep() {
	if o := m.steps.close(); o != nil {
		m.resisted(o)
	}
}

func (m *Machine) resisted(o *openStep) {
	book := m.book()
	if r, ok := o.resistance(&m.volts, &m.amps, &m.opt); ok {
		book.ohms.add(r)
	} else {
		book.ohms.vague++
	}
	if r, ok := o.direct(&m.volts, &m.amps, &m.opt); ok {
		book.directly(r)
	}
}
