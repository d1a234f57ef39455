package analyze

// Nickel that is full makes heat of all that goes in, where it had hardly warmed before: a kelvin
// a minute in a quick charge, by which chargers end it (every maker's data sheets; the
// numbers here are our own). Whatever else is charged warms ever more slowly, as the room takes
// more of its heat.
const (
	warmedSeconds = 300 // s at the end
	warmedGrowth  = 2   // times what it warmed by in any such time
	warmedRise    = 2.0 // K more than that: digits of one
)

// warmed reports whether what may be nickel had been warming several times as fast in the last minutes
// before bin end as it had for a time before.
func warmed(tr *trace, end int) bool {
	if end < 20 || nickelCells(tr.bins[end-1].v()) == 0 || tr.bins[end-1].t1-tr.bins[0].t0 < 2*warmedSeconds {
		return false
	}
	until := tr.bins[end-1].t1
	rise := func(until float64) float64 {
		return tr.bins[tr.index(until)].celsius - tr.bins[tr.index(until-warmedSeconds)].celsius
	}
	last, least := rise(until), Unknown()
	for t := until - warmedSeconds; t-warmedSeconds >= tr.bins[0].t0; t -= warmedSeconds / 2 {
		if r := max(rise(t), 0); !(r > least) {
			least = r
		}
	}
	return last > warmedGrowth*least+warmedRise
}
