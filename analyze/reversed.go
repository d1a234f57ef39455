package analyze

import "fmt"

// reversed notices leads the wrong way round: rows whose voltage is negative
// beyond any meter's zero (half a volt, common practice, no source). A charger that
// drives current into a battery the wrong way round discharges it, and then charges it
// backwards, which ruins it and may burst it. It clears when the voltage is positive
// again, or nothing.
type reversed struct{ latch }

const reversedVolts = -0.5 // V

func (r *reversed) push(volts, t float64) (changed bool) {
	return r.latch.push(volts < reversedVolts, volts > reversedVolts/2, t)
}

func reversedMessage(volts float64) string {
	return fmt.Sprintf("the voltage is negative (%.2f V): the leads are reversed, at the battery or at the meter. Switch the charger off before touching them; sparks light battery gas", volts)
}
