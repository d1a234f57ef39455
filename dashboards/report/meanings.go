package report

import (
	"maps"

	"amphora/analyze"
)

// Meanings says in plain words, by its code, what a finding is and what to do
// about it.
func Meanings() map[string]string { return maps.Clone(meanings) }

var meanings = map[string]string{
	analyze.CodeStalled:           "Current flows, but the charge makes no progress. Check that the charger still regulates and that nothing else draws from the battery.",
	analyze.CodeRunningLong:       "It took longer than battery and charger explain. Look at the battery: is it warm, is it gassing?",
	analyze.CodeOverCapacity:      "More went in than the battery can have needed. The rest became heat and gas: check the water of a flooded battery, and the charger's settings.",
	analyze.CodeVoltageNotReached: "The voltage limit never came. Suspect a shorted cell, or a charger set for more cells than there are.",
	analyze.CodeNoTaper:           "At the held voltage the current did not fall. An old or shorted battery does that; so does a load that was left on.",
	analyze.CodeThermalRunaway:    "The current climbed at a held voltage: the battery heats itself. Switch the charger off, let it cool, and do not charge it again unwatched.",
	analyze.CodeOverTemperature:   "Too hot to charge. Stop, let it cool, and find out why.",
	analyze.CodeOverVoltage:       "The voltage was above what this battery takes. Check the charger's setting and the number of cells.",
	analyze.CodeUnderTemperature:  "Too cold to charge. Warm it to room temperature first.",
	analyze.CodeReversePolarity:   "The voltage was negative: the leads were crossed, of the meter or of the charger.",
	analyze.CodeOpenCircuit:       "The battery was off the charger, or a lead had come loose, or no battery hung on it at all. Check the clamps.",
	analyze.CodeCurrentDropped:    "The current stopped in mid-charge while the battery was still there. Look for a timer, a tripped fuse or a pulled plug.",
	analyze.CodeAcceptsLittle:     "The limit voltage came at once. Either the battery was full already or, if it was empty, it is sulphated or old.",
	analyze.CodeInterrupted:       "The charge paused and went on by itself.",
	analyze.CodePowerLimited:      "The charger gives constant power rather than constant current. Nothing is wrong.",
	analyze.CodePulsed:            "The charger pauses or pulses in a regular way. Nothing is wrong.",
	analyze.CodeMeterSilent:       "The meter sent nothing for longer than expected. Check its lead, its battery and its own switch-off.",
	analyze.CodeMeterFrozen:       "The readings repeat exactly, as real ones never do. Restart the meter; what it showed meanwhile is worthless.",
	analyze.CodeDataGap:           "Rows are missing. What may have flowed meanwhile is given as a bound, and not counted.",
	analyze.CodeClockStep:         "The clock of the log jumped. Elapsed time was counted on; no charge was made up.",
	analyze.CodeOverloadReading:   "The meter showed an overload; those readings were not used.",
}
