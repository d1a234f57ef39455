package condition

import "amphora/analyze"

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
	resistance = told(trends, ResistanceFull) != nil || told(trends, ResistanceStart) != nil || told(trends, ResistanceByHand) != nil
	return resistance, c != nil && analyze.Known(c.OfRated) || told(trends, CapacityByCharge) != nil
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
