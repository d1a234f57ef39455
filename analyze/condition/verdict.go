package condition

import (
	"fmt"

	"amphora/analyze"
)

// State is how a battery stands, in one word.
type State string

// States, from the unknown through the good to the bad.
const (
	NotEnoughData   State = "not-enough-data"
	NoSign          State = "no-sign-of-ageing"
	Ageing          State = "ageing"
	NearReplacement State = "near-replacement"
	Replace         State = "replace"
)

var severity = map[State]int{NotEnoughData: 0, NoSign: 1, Ageing: 2, NearReplacement: 3, Replace: 4}

// Verdict is what the evidence comes to.
type Verdict struct {
	State    State      `json:"state"`
	Text     string     `json:"text"`
	Evidence []Evidence `json:"evidence"`
}

// Evidence is one thing that speaks for a state.
type Evidence struct {
	Quantity string `json:"quantity"`
	State    State  `json:"state"`
	Text     string `json:"text"`
	Source   string `json:"source"` // who says that the figure means so
}

// What the resistance of a lead-acid battery may rise to. Sources disagree: a
// power-supply guide that names IEEE 1188-2025 has +20 %; +30 to +50 % is what
// its older edition is remembered to say. So from 20 % on a change is near the
// limit, and only one that is surely beyond the next 30 % calls for replacement.
const (
	nearRise    = 0.20
	replaceRise = 0.30
	mostRise    = 0.50
	ageingRise  = 0.10

	riseSource = "sources disagree: +20 % (a power-supply guide naming IEEE 1188-2025), +30 to +50 % (from memory of an older edition)"

	// A stationary battery below 80 % of its rating is to be replaced.
	replaceCapacity = 0.80
	capacitySource  = "a federal maintenance handbook: replace below 80 % of the rating"

	emptyCell  = 2.00  // V a cell, settled after a full charge: less is half empty
	fullCell   = 2.10  // V a cell: 12.6 V or a little more (common practice, no source)
	restDoubt  = 0.005 // of the voltage: a usual voltmeter is off by so much, and a battery 20 K colder stands a third of it lower
	restSource = "common practice: 12.6 V or a little more when full and settled"
)

// verdict weighs what there is. The worst evidence rules, since each of them only
// speaks where it is sure.
func (h *history) verdict(list []*series, trends []Trend, c *Capacity) Verdict {
	v := Verdict{State: NotEnoughData, Evidence: []Evidence{}}
	add := func(e Evidence, ok bool) {
		if ok {
			v.Evidence = append(v.Evidence, e)
		}
	}
	add(h.resistanceEvidence(trends))
	add(h.restEvidence(trends))
	add(h.capacityEvidence(c))
	add(h.fadeEvidence(trends))
	v.weigh()
	overall := v.State
	v.Evidence = append(v.Evidence, h.lateEvidence(list, trends)...)
	v.weigh()
	v.Text = sentence[v.State]
	if v.State != overall {
		v.Text += late
	}
	resistance, capacity := followed(trends, c)
	switch {
	case v.State == NoSign:
		v.Text += unfollowed(resistance, capacity)
	case v.State == NotEnoughData && h.longEnough():
		v.Text = "Nothing is sure enough to say how this battery is." + unfollowed(resistance, capacity) + advice(resistance, capacity)
	}
	return v
}

// weigh lets the worst evidence rule.
func (v *Verdict) weigh() {
	for _, e := range v.Evidence {
		if severity[e.State] > severity[v.State] {
			v.State = e.State
		}
	}
}

// longEnough tells whether there are as many complete charges, over as long, as a trend takes.
func (h *history) longEnough() bool {
	all := h.complete()
	return len(all) >= leastPoints && all[len(all)-1].Started.Sub(*all[0].Started) >= leastSpan
}

// followed tells whether resistance and capacity could be followed: what a battery rests at when full may
// stand for years while its plates go, and its capacity while its resistance rises.
func followed(trends []Trend, c *Capacity) (resistance, capacity bool) {
	capacity = c != nil && known(c.OfRated)
	for k := range trends {
		switch t := &trends[k]; t.Quantity {
		case ResistanceFull, ResistanceStart, ResistanceByHand:
			resistance = resistance || t.Enough
		case CapacityByCharge:
			capacity = capacity || t.Enough
		}
	}
	return resistance, capacity
}

// unfollowed says what no sign of ageing does not speak for.
func unfollowed(resistance, capacity bool) string {
	switch {
	case resistance && capacity:
		return ""
	case resistance:
		return " Its capacity could not be followed."
	case capacity:
		return " Its resistance could not be followed."
	}
	return " Neither its resistance nor its capacity could be followed."
}

// advice says what would show the one that could not be followed.
func advice(resistance, capacity bool) (text string) {
	if !resistance {
		text = " The resistance shows in rows a second or two apart, or in readings that you note by hand."
	}
	if !capacity {
		text += " For the capacity, let the meter run a quarter of an hour before the charger is switched on."
	}
	return text
}

var sentence = map[State]string{
	NotEnoughData:   "Not enough data to say how this battery is: it takes at least six like observations over two months.",
	NoSign:          "No sign of ageing in what was recorded.",
	Ageing:          "It is ageing, and within what sources accept.",
	NearReplacement: "It is near what sources take as a sign to replace it: have its capacity tested.",
	Replace:         "It is beyond what sources take as a sign to replace it: test its capacity once more, and plan for another.",
}

// resistanceTrend is the series of resistance that tells most: the one with the most points, or,
// where that has too few, that of direct current.
func resistanceTrend(trends []Trend) (t *Trend) {
	var direct *Trend
	for k := range trends {
		switch trends[k].Quantity {
		case ResistanceFull, ResistanceStart, ResistanceByHand:
			if t == nil || len(trends[k].Points) > len(t.Points) {
				t = &trends[k]
			}
		case ResistanceDirect:
			direct = &trends[k]
		}
	}
	if t == nil || direct != nil && direct.Enough && !t.Enough {
		return direct
	}
	return t
}

// resistanceEvidence judges the resistance. What polarises in some seconds hides a rise of that
// of direct current: it clears no battery, and none is replaced for it.
func (h *history) resistanceEvidence(trends []Trend) (Evidence, bool) {
	t := resistanceTrend(trends)
	if t == nil {
		return Evidence{}, false
	}
	e := Evidence{Quantity: t.Quantity, State: NotEnoughData, Text: t.Words, Source: riseSource}
	if !t.Enough {
		e.Source = ""
		return e, true
	}
	change, low, high := float64(t.Change), float64(t.ChangeLow), float64(t.ChangeHigh)
	if !h.battery.Chemistry.Lead() {
		e.Source = "no published limit was found for this chemistry"
		if low > ageingRise {
			e.State = Ageing
		} else if high < nearRise && t.Quantity != ResistanceDirect {
			e.State = NoSign
		}
		return e, true
	}
	signs := fmt.Sprintf("the %.0f to %.0f %% that sources take as a sign to replace", 100*nearRise, 100*mostRise)
	switch {
	case low >= replaceRise && t.Quantity != ResistanceByHand && t.Quantity != ResistanceDirect:
		e.State, e.Text = Replace, e.Text+": inside or beyond "+signs
	case low > 0 && change >= nearRise:
		e.State, e.Text = NearReplacement, e.Text+": near "+signs
	case high < nearRise && low > 0 && change >= ageingRise:
		e.State, e.Text = Ageing, e.Text+": below "+signs
	case high < nearRise && t.Quantity != ResistanceDirect:
		e.State, e.Text = NoSign, e.Text+": below "+signs
	case high < nearRise:
		e.Text += ": below " + signs + ", but it shows a rise late"
	default:
		e.Text += ": too uncertain to be held against " + signs
	}
	e.Text += fmt.Sprintf(" (counted from the first of %d observations, not from new; %s)", len(t.Points), t.Note)
	return e, true
}

// restEvidence judges the settled voltage after full charges by its line's end.
func (h *history) restEvidence(trends []Trend) (Evidence, bool) {
	if !h.battery.Chemistry.Lead() || h.battery.Cells < 1 {
		return Evidence{}, false
	}
	for k := range trends {
		t := &trends[k]
		if t.Quantity != SettledVoltage || !t.Enough {
			continue
		}
		last, cells := float64(t.Last), float64(h.battery.Cells)
		e := Evidence{Quantity: t.Quantity, State: NoSign, Source: restSource}
		e.Text = fmt.Sprintf("settles at %.2f V after a full charge by now (%.2f V at first)", last, float64(t.First))
		switch {
		case last < emptyCell*cells:
			e.State, e.Text = NearReplacement, e.Text+": it does not keep its charge, or a cell is bad"
		case last < fullCell*cells && (last < fullCell*cells*(1-restDoubt) || t.ChangeHigh < 0):
			e.State, e.Text = Ageing, e.Text+fmt.Sprintf(": below the %.1f V of a healthy, full one", fullCell*cells)
		case last < fullCell*cells:
			e.Text += fmt.Sprintf(": below the %.1f V of a healthy, full one by no more than a voltmeter or a cold battery may make, and not surely sinking", fullCell*cells)
		}
		return e, true
	}
	return Evidence{}, false
}

func (h *history) capacityEvidence(c *Capacity) (Evidence, bool) {
	if c == nil {
		return Evidence{}, false
	}
	e := Evidence{Quantity: "capacity", State: NotEnoughData, Text: c.Words}
	if !known(c.OfRated) {
		return e, true
	}
	e.Source = capacitySource
	rated := analyze.Number(h.battery.Rated / 3600)
	switch limit := replaceCapacity * rated; {
	case c.HighAh < limit:
		e.State = Replace
	case c.Ah < limit && c.HighAh < (limit+rated)/2: // one that may still have nearly all of it is not accused
		e.State = NearReplacement
	case c.LowAh >= limit && !h.battery.Chemistry.Lead():
		e.State = NoSign
	case c.LowAh >= limit:
		e.Text += ": " + acidOnly
	default:
		e.Text += ": too uncertain to be held against 80 % of it"
	}
	return e, true
}
