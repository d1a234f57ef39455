package report

import (
	"maps"

	"amphora/analyze"
)

// Meanings says in plain words, by its code, what a finding that holds is and what to do
// about it.
func Meanings() map[string]string { return maps.Clone(meanings) }

// PastMeanings says the same of findings that are over, or of a charge that is.
func PastMeanings() map[string]string {
	all := Meanings()
	maps.Copy(all, past)
	return all
}

// meaning is that of a finding of a charge as it was when last looked at.
func meaning(s *analyze.Session, f *analyze.Finding) string {
	if was := past[f.Code]; was != "" && (s.Outcome != analyze.Running || analyze.Known(f.EndS)) {
		return was
	}
	return meanings[f.Code]
}

var meanings = map[string]string{
	analyze.CodeStalled:           "Current flows, but the charge makes no progress. Check that the charger still regulates and that nothing else draws from the battery.",
	analyze.CodeRunningLong:       "It takes longer than battery and charger explain. Look at the battery: is it warm, is it gassing?",
	analyze.CodeOverCapacity:      "More has gone in than the battery can have needed. The rest becomes heat and gas: check the water of a flooded battery, and the charger's settings.",
	analyze.CodeVoltageNotReached: "The voltage limit does not come, or a cell's whole voltage is gone in mid-charge. Suspect a shorted cell, or a charger set for more cells than there are.",
	analyze.CodeNoTaper:           "At the held voltage the current does not fall. An old or shorted battery does that; so does a load that was left on.",
	analyze.CodeThermalRunaway:    "The current climbs at a held voltage, or the voltage sags under all of the current: the battery heats itself. Switch the charger off, let it cool, and do not charge it again unwatched.",
	analyze.CodeOverTemperature:   "Too hot to charge. Stop, let it cool, and find out why.",
	analyze.CodeOverVoltage:       "The voltage is above what this battery takes. Check the charger's setting and the number of cells.",
	analyze.CodeUnderTemperature:  "Too cold to charge. Warm it to room temperature first.",
	analyze.CodeReversePolarity:   "The voltage is negative: the leads are crossed, of the meter or of the charger.",
	analyze.CodeOpenCircuit:       "The battery is off the charger, or a lead has come loose, or no battery hangs on it at all. Check the clamps.",
	analyze.CodeCurrentDropped:    "The current has stopped in mid-charge while the battery is still there. Look for a timer, a tripped fuse or a pulled plug.",
	analyze.CodeAcceptsLittle:     "The limit voltage came at once. Either the battery was full already or, if it was empty, it is sulphated or old.",
	analyze.CodeInterrupted:       "The charge paused and went on by itself.",
	analyze.CodePowerLimited:      "The charger gives constant power rather than constant current. Nothing is wrong.",
	analyze.CodePulsed:            "The charger pauses or pulses in a regular way. Nothing is wrong.",
	analyze.CodeMeterSilent:       "The meter has sent nothing for longer than expected. Check its lead, its battery and its own switch-off.",
	analyze.CodeMeterFrozen:       "The readings repeat exactly, as real ones never do. Restart the meter; what it showed meanwhile is worthless.",
	analyze.CodeDataGap:           "Rows are missing. What may have flowed meanwhile is given as a bound, and not counted.",
	analyze.CodeClockStep:         "The clock of the log jumped. Elapsed time was counted on; no charge was made up.",
	analyze.CodeOverloadReading:   "The meter showed an overload; those readings were not used.",
}

// past are those that read otherwise once they are over.
var past = map[string]string{
	analyze.CodeRunningLong:       "It took longer than battery and charger explain. Look at the battery: is it warm, is it gassing?",
	analyze.CodeOverCapacity:      "More went in than the battery can have needed. The rest became heat and gas: check the water of a flooded battery, and the charger's settings.",
	analyze.CodeVoltageNotReached: "The voltage limit never came, or a cell's whole voltage went in mid-charge. Suspect a shorted cell, or a charger set for more cells than there are.",
	analyze.CodeNoTaper:           "At the held voltage the current did not fall. An old or shorted battery does that; so does a load that was left on.",
	analyze.CodeThermalRunaway:    "The current climbed at a held voltage, or the voltage sagged under all of the current: the battery heats itself. Switch the charger off, let it cool, and do not charge it again unwatched.",
	analyze.CodeOverVoltage:       "The voltage was above what this battery takes. Check the charger's setting and the number of cells.",
	analyze.CodeReversePolarity:   "The voltage was negative: the leads were crossed, of the meter or of the charger.",
	analyze.CodeOpenCircuit:       "The battery was off the charger, or a lead had come loose, or no battery hung on it at all. Check the clamps.",
	analyze.CodeCurrentDropped:    "The current stopped in mid-charge while the battery was still there. Look for a timer, a tripped fuse or a pulled plug.",
	analyze.CodeMeterSilent:       "The meter sent nothing for longer than expected. Check its lead, its battery and its own switch-off.",
}
