package daemon

import (
	"fmt"

	"amphora/analyze"
	"amphora/capture/journal"
)

// Retold is what a channel's journal tells, and what is wrong with it.
type Retold struct {
	Told   []Told // the oldest first
	Damage []*journal.Damage

	first, last uint64 // records that it holds
	harmed      []stretch
}

// Told is a session that a channel's journal tells of.
type Told struct {
	Session analyze.Session
	from    place
	began   uint64 // the record by which it was known to have begun
	until   uint64 // the record by which it was settled; of one that is not, none is behind it
	settled bool
}

// stretch is records by their numbers, from the first to before the last.
type stretch struct{ from, to uint64 }

func (a stretch) meets(b stretch) bool { return a.from < b.to && b.from < a.to }

// harm takes damage of the journal, in its order.
func (r *Retold) harm(d *journal.Damage) {
	r.Damage = append(r.Damage, d)
	at := stretch{r.last + 1, r.last + 2} // nothing is known to be lost; who can tell
	if d.Lost > 0 {
		at = stretch{d.First, d.First + d.Lost}
	}
	r.harmed = append(r.harmed, at)
}

// Notes say which of the sessions may not be all there was, and why.
func (r *Retold) Notes() (notes []string) {
	for k := range r.Told {
		if why := r.unsound(&r.Told[k]); why != "" {
			notes = append(notes, fmt.Sprintf("%s is told of the lines that are left: %s", r.Told[k].Session.ID, why))
		}
	}
	return notes
}

// unsound is why a session that was told may not be all there was; "" where it is. What is
// missing before a rest is not its.
func (r *Retold) unsound(t *Told) string {
	if t.Session.RestBefore != nil {
		return r.harmIn(stretch{t.began, t.until})
	}
	if r.first > 1 && t.from.From <= r.first {
		return r.begins()
	}
	return r.harmIn(stretch{t.from.From, t.until})
}

func (r *Retold) begins() string {
	return fmt.Sprintf("it may have begun before record %d, the first that the journal still holds", r.first)
}

// harmIn is what damage took of some records; "" where there is none.
func (r *Retold) harmIn(records stretch) string {
	places, lost, first := 0, uint64(0), uint64(0)
	for k, h := range r.harmed {
		if !h.meets(records) {
			continue
		}
		if places++; places == 1 {
			first = h.from
		}
		lost += r.Damage[k].Lost
	}
	switch {
	case places == 0:
		return ""
	case lost == 0:
		return fmt.Sprintf("the journal is damaged at record %d", first)
	case lost == 1:
		return fmt.Sprintf("record %d of it is lost from the journal", first)
	}
	return fmt.Sprintf("%d records of it are lost from the journal, the first of them %d", lost, first)
}
