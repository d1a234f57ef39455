package analyze

import "fmt"

// reversed notices leads the wrong way round: rows whose voltage is negative
// beyond any meter's zero (half a volt, common practice, no source), or beyond what leads and
// a meter's zero make of nothing while a charge flows in: a flat cell. A charger that
// drives current into a battery the wrong way round discharges it, and then charges it
// backwards, which ruins it and may burst it. It clears when the voltage is positive
// again, or nothing.
type reversed struct{ latch }

const (
	reversedVolts   = -0.5 // V
	reversedFlowing = -0.1 // V, with current; common practice, no source
)

func (r *reversed) push(volts, t float64, flowing bool) (changed bool) {
	limit := reversedVolts
	if flowing {
		limit = reversedFlowing
	}
	return r.latch.push(volts < limit, volts > limit/2, t)
}

func reversedMessage(volts float64) string {
	return fmt.Sprintf("the voltage is negative (%.2f V): the leads are reversed, at the battery or at the meter. Switch the charger off before touching them; sparks light battery gas", volts)
}
