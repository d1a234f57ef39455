package plan

import (
	"fmt"

	"amphora/analyze"
)

// planVoltage fills in what to set the voltage to.
func planVoltage(in Input, a *Advice) {
	out := &a.Voltage
	n := float64(in.Cells)
	if in.Cells == 0 {
		n = analyze.Unknown()
	}
	v, ok := absorptionPerCell(in.Chemistry, in.Celsius)
	if !ok {
		out.Reasons = append(out.Reasons, Reason{"absorption_v", "nickel has no voltage limit: the charge ends on its voltage peak, its temperature or the time", commonPractice})
		return
	}
	out.AbsorptionPerCellV, out.AbsorptionV = analyze.Number(v), analyze.Number(v*n)
	out.AbsorptionLowV, out.AbsorptionHighV = out.AbsorptionV, out.AbsorptionV
	if in.Chemistry.Lithium() {
		out.Reasons = append(out.Reasons,
			Reason{"absorption_v", fmt.Sprintf("%.2f V a cell and never more", v), "lithium cell makers' sheets"},
			Reason{"float_v", "lithium is not floated: the charge ends at the tail current", commonPractice})
		return
	}
	span, reference := absorptionSpan[in.Chemistry], absorption[in.Chemistry].volts
	out.AbsorptionLowV = analyze.Number((v + span.Low - reference) * n)
	out.AbsorptionHighV = analyze.Number((v + span.High - reference) * n)
	f, _ := floatPerCell(in.Chemistry, in.Celsius)
	out.FloatPerCellV, out.FloatV = analyze.Number(f), analyze.Number(f*n)
	out.Reasons = append(out.Reasons,
		Reason{"absorption_v", fmt.Sprintf("%.2f V a cell at 25 °C, %+.0f mV for each kelvin; makers differ within the range given, so the label decides", reference, 1000*absorption[in.Chemistry].perKelvin), absorptionSource(in.Chemistry)},
		Reason{"float_v", fmt.Sprintf("holds a full battery; %+.0f mV a cell for each kelvin", 1000*floating[in.Chemistry].perKelvin), floatSource(in.Chemistry)})
}

func absorptionSource(c analyze.Chemistry) string {
	if c == analyze.LeadGel {
		return "a gel battery maker's manual; another maker stops at 14.1 V at 20 °C"
	}
	return "two texts on the gassing voltage; sources give 3 to 5 mV/K for the compensation"
}

func floatSource(c analyze.Chemistry) string {
	if c == analyze.LeadFlooded {
		return "a range of 2.20 to 2.25 V a cell, from memory"
	}
	return "two vendors' data, published as a formula"
}

// planLeads fills in what the leads take.
func planLeads(in Input, a *Advice) {
	if !analyze.Known(in.LeadLength) || !analyze.Known(in.LeadArea) {
		return
	}
	loop := leadLoop(in.LeadLength, in.LeadArea, in.Celsius)
	amps := float64(a.Current.ChosenA)
	a.Leads = &LeadsAdvice{
		LoopOhm: analyze.Number(loop), DropV: analyze.Number(leadDrop(loop, amps)), HeatW: analyze.Number(amps * amps * loop),
		Reasons: []Reason{
			{"loop_ohm", "there and back, at the greatest resistance that the standard allows fine-stranded copper", "IEC 60228, published copies"},
			{"drop_v", "the battery gets that much less than the charger shows, until the current has tapered; clamps and plugs add to it, so measure at the posts", arithmetic},
		},
	}
}

// planVentilation fills in the air that the charge needs.
func planVentilation(in Input, c capacities, known bool, a *Advice) {
	holding, gas, ok := gasCurrents(in.Chemistry)
	if !ok || !known || in.Cells == 0 {
		return
	}
	v := vent(gas, in.Cells, c.span.High)
	const standard = "EN 50272-2 / IEC 62485-2 as quoted by battery makers"
	a.Ventilation = &VentilationAdvice{
		AirflowM3PerH: analyze.Number(v.Airflow * hour),
		FloatM3PerH:   analyze.Number(vent(holding, in.Cells, c.span.High).Airflow * hour),
		OpeningCm2:    analyze.Number(v.Opening * 1e4),
		RoomM3:        analyze.Number(v.Room), DistanceM: analyze.Number(v.Distance),
		HydrogenLPerAh: analyze.Number(1000 * hydrogenVolume(ampereHour, in.Cells, in.Celsius, atmosphere)),
		Reasons: []Reason{
			{"airflow_m3_per_h", fmt.Sprintf("%g mA of gas for each Ah at absorption voltage, thinned to a fifth of what burns", gas), standard},
			{"opening_cm2", "one low and one high, for air that moves at 0.1 m/s; a free room as large as given needs none", standard},
			{"distance_m", "no spark nearer to the vents, whatever the ventilation", "the formula of the same standard, from memory"},
			{"hydrogen_l_per_ah", "for each ampere-hour that goes in after the battery is full", "Faraday's law"},
		},
	}
}
