package plan

import "amphora/analyze"

// Caution is something to mind, and who says so.
type Caution struct {
	Text   string `json:"text"`
	Source string `json:"source"`
}

// Cautions lists what to mind with a chemistry, the most general first.
func Cautions(c analyze.Chemistry) []Caution {
	list := append([]Caution{}, everyBattery...)
	if !c.Lithium() {
		list = append(list, gassing...)
	}
	switch {
	case c.Lead():
		list = append(list, leadAcid...)
	case c.Lithium():
		list = append(list, lithium...)
	}
	return append(list,
		Caution{"amphora only listens: it stops no charge and is no safety device. Charge where somebody can look.", "what amphora is"},
		Caution{"The battery maker's and the charger maker's figures and the local codes go before everything here.", "what amphora is"})
}

var everyBattery = []Caution{
	{"Wear goggles or a visor, and gloves. Take off rings, watch and bracelet, and empty your pockets of metal.", "HSE INDG139"},
	{"Use insulated tools, cover the terminals, and mind that batteries are heavy.", "HSE INDG139"},
	{"Use a charger that suits the battery, stop when it is full, and do not overcharge it.", "HSE INDG139"},
	{"Look twice at the polarity before connecting: plus to plus, minus to minus.", commonPractice},
	{"Switch the charger off while connecting. Positive first, then negative; disconnect in the reverse order.", "consumer pages, consistent with workshop texts"},
}

var gassing = []Caution{
	{"No flame, spark, smoking or hot object near a battery that is on charge, just charged or being moved.", "HSE INDG139"},
	{"Charge in a well-ventilated place. The gas is hydrogen and carries a mist of the electrolyte; it rises, so vent high.", "HSE INDG139 and SR18"},
	{"Hydrogen burns from 4 % in air, and within about 10 cm of the vents assume that it may whatever the ventilation.", "a consumer page; a battery-room page"},
}

var leadAcid = []Caution{
	{"In a vehicle the negative clamp goes to a bare metal point about 1 m away from the battery, so that the spark is not over the vents.", "consumer pages, consistent with workshop texts"},
	{"Never charge a frozen battery: thaw it at room temperature first. A flat one freezes near -10 °C, a full one far below.", "a battery retailer's page; army manuals and a vehicle maker for the temperatures"},
	{"Do not charge when the battery is hotter than about 49 °C.", "a battery retailer's page"},
}

var lithium = []Caution{
	{"Stop at swelling, smell, change of colour, heat, leak or an odd noise. Move it outdoors only if that is safe; on fire leave, close the door and call.", "a city fire department"},
	{"Not while asleep, not on a bed or sofa, not by the way out. Unplug when full. Only a charger that its maker allows.", "a city fire department"},
	{"Never puncture a swollen cell.", "safety pages"},
	{"Do not charge below 0 °C.", "two lithium cell makers' sheets"},
}
