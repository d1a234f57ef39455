package analyze_test

import (
	"encoding/json"
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOpenLogsAreAllKnownByOrigin(t *testing.T) {
	for name := range truth(t) {
		assert.NotEmpty(t, origins[name], "%s: name its source", name)
	}
	assert.Len(t, origins, 16)
}

// The charge that went in agrees with the tester's own counter within 0.2 %
// where there is one, else with the bracket of the plain sums within 0.5 %. The
// bracket is what trapezoid, last value held and next value held give, and the
// trapezoid with steps held.
func TestOpenChargesAgreeWithTheTestersCounterOrThePlainSums(t *testing.T) {
	for name, row := range truth(t) {
		if row["kind"] != "charge" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			got := 0.0
			for _, s := range analyzed(t, name).Sessions {
				got += float64(s.ChargeInAh)
			}
			if counter := field(t, row["doc_Ah"]); counter > 0.01 {
				assert.InEpsilon(t, counter, got, 0.002, "the tester's own counter; %s", origins[name])
				return
			}
			low, high := bracket(t, row, "ah_in", "ah_in_prev", "ah_in_next", "ah_in_stepon")
			if name == "li09_nasa_B0052_c12_open_circuit.csv" {
				// 2 mA of noise into no cell. The plain sum drops its negative
				// half; here noise counts with its sign, so that it averages out.
				net := field(t, row["ah_in"]) - field(t, row["ah_out"])
				low, high = net, net
			}
			assert.GreaterOrEqual(t, got, low*0.995, origins[name])
			assert.LessOrEqual(t, got, high*1.005, origins[name])
		})
	}
}

// bracket is the least and the most of some columns of the truth.
func bracket(t testing.TB, row map[string]string, columns ...string) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range columns {
		if x := field(t, row[c]); !math.IsNaN(x) {
			low, high = min(low, x), max(high, x)
		}
	}
	return low, high
}

// Constant current ends between the first touch of the limit voltage (t_cv) and
// the first clear fall of the current (t_taper), with three rows' grace; the two
// are soft where the source hunts about its limit (INDEX.md says so of the
// lead-acid logs).
func TestOpenChargesChangeStageWhereTheCurvesBend(t *testing.T) {
	for name, row := range truth(t) {
		cv, taper := field(t, row["t_cv"]), field(t, row["t_taper"])
		if math.IsNaN(cv) || math.IsNaN(taper) {
			continue
		}
		t.Run(name, func(t *testing.T) {
			samples := readPlain(t, name)
			grace := 3 * usedIntervals(samples)
			session := analyzed(t, name).Sessions[0]
			current := stageOf(&session, analyze.ConstantCurrent)
			require.NotNil(t, current, "a constant-current stage; %s", origins[name])
			require.NotNil(t, stageOf(&session, analyze.ConstantVoltage), "a constant-voltage stage; %s", origins[name])
			assert.GreaterOrEqual(t, float64(current.EndS), cv-grace, origins[name])
			assert.LessOrEqual(t, float64(current.EndS), taper+grace, origins[name])
		})
	}
}

// What flowed out agrees with the plain sums.
func TestOpenDischargesAgreeWithThePlainSums(t *testing.T) {
	row := truth(t)["pb10_17ah_discharge_3A_rest.csv"]
	session := analyzed(t, "pb10_17ah_discharge_3A_rest.csv").Sessions[0]
	assert.Equal(t, analyze.NoCharge, session.Outcome)
	assert.InEpsilon(t, field(t, row["ah_out"]), float64(session.ChargeOutAh), 0.005)
	assert.Zero(t, float64(session.ChargeInAh), "nothing flowed in")
}

// Two things keep the plain sums of these logs from being the truth. At rest the
// meters show a zero that is not zero (10 mA for minutes, 5 mA for hours), which
// the sums count and amphora, by design, does not have to (see quiet). And where
// one clock leaps forward by minutes in the midst of a pulse, the sums take the
// pulse to have lasted as long; here a leap counts as one usual interval. What is
// true beyond doubt: the pulses flowed, and with the whole zero, their edges and one
// second for each leap, that is the most.
func TestOpenPulseLogsCountThePulsesAndNoMoreThanTheMetersZero(t *testing.T) {
	for _, name := range []string{"li37_leaf_hppc_pulses.csv", "lfp08_k2_hppc_raw_overflow.csv"} {
		t.Run(name, func(t *testing.T) {
			d := analyzed(t, name)
			session := d.Sessions[0]
			assert.Equal(t, analyze.NoCharge, session.Outcome, "pulses are no charge")
			sums := sumPulses(readPlain(t, name))
			require.Greater(t, sums.out, 0.5, "Ah of pulses")
			const grace = 0.01 // for the rows that said overload
			assert.GreaterOrEqual(t, float64(session.ChargeInAh), (1-grace)*sums.in)
			assert.LessOrEqual(t, float64(session.ChargeInAh), (1+grace)*(sums.in+sums.aroundIn))
			assert.GreaterOrEqual(t, float64(session.ChargeOutAh), (1-grace)*sums.out)
			assert.LessOrEqual(t, float64(session.ChargeOutAh), (1+grace)*(sums.out+sums.aroundOut))
			_, most := bracket(t, truth(t)[name], "ah_in", "ah_in_prev", "ah_in_next")
			assert.LessOrEqual(t, float64(session.ChargeInAh), most, "the plain sums count more, never less")
		})
	}
	// Where the clock is sound, what flowed out is inside the bracket.
	low, high := bracket(t, truth(t)["li37_leaf_hppc_pulses.csv"], "ah_out", "ah_out_prev", "ah_out_next")
	out := float64(analyzed(t, "li37_leaf_hppc_pulses.csv").Sessions[0].ChargeOutAh)
	assert.GreaterOrEqual(t, out, 0.995*low)
	assert.LessOrEqual(t, out, 1.005*high)
}

// pulseSums are plain sums of a pulse log, Ah: of its pulses, and of what the
// meter showed between them, with the intervals in which they began or ended (one
// log writes a pulse's last row at once, and the next one a minute later).
type pulseSums struct{ in, out, aroundIn, aroundOut float64 }

func sumPulses(samples []analyze.Sample) (s pulseSums) {
	const pulse = 0.5 // A: half of the smallest pulse in these logs, and far above any zero
	var last *analyze.Sample
	for k := range samples {
		b := &samples[k]
		if b.Amps > 1000 { // overload
			continue
		}
		a := last
		last = b
		if a == nil || b.At <= a.At {
			continue
		}
		hours := (b.At - a.At) / 3600
		if b.At-a.At > 60.5 { // the clock leapt
			hours = 1. / 3600
		}
		in, out := (max(a.Amps, 0)+max(b.Amps, 0))/2*hours, (max(-a.Amps, 0)+max(-b.Amps, 0))/2*hours
		if math.Abs(a.Amps) < pulse || math.Abs(b.Amps) < pulse {
			s.aroundIn += in
			s.aroundOut += out
		} else {
			s.in += in
			s.out += out
		}
	}
	return s
}

// One of two logs of the same night has its temperatures on rows of their own,
// with voltage and current blank. The charge is the same to the digit; only the
// temperature is known in addition.
func TestInterleavedTemperatureRowsChangeNothing(t *testing.T) {
	plain := analyzed(t, "pb03_17ah_charge_1.csv")
	interleaved := analyzed(t, "pb09_17ah_charge_1_interleaved.csv")
	assert.Equal(t, 29, interleaved.Log.RejectedByReason["blank voltage and current"])
	require.Len(t, interleaved.Sessions, len(plain.Sessions))
	assert.Equal(t, 28.75, float64(interleaved.Sessions[0].MaxCelsius))
	interleaved.Sessions[0].MaxCelsius = plain.Sessions[0].MaxCelsius
	want, err := json.MarshalIndent(plain.Sessions, "", " ")
	require.NoError(t, err)
	got, err := json.MarshalIndent(interleaved.Sessions, "", " ")
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got))
}

func TestOpenFaultsAreNotTakenForCharges(t *testing.T) {
	for _, name := range []string{"li08_nasa_B0050_c33_fault.csv", "li09_nasa_B0052_c12_open_circuit.csv"} {
		for _, s := range analyzed(t, name).Sessions {
			assert.Contains(t, []analyze.Outcome{analyze.Faulted, analyze.NoCharge}, s.Outcome, name)
		}
	}
	nobody := analyzed(t, "li09_nasa_B0052_c12_open_circuit.csv").Sessions[0].Findings
	require.Len(t, nobody, 1, "no cell")
	assert.Equal(t, analyze.CodeOpenCircuit, nobody[0].Code)
	for _, s := range analyzed(t, "li06_nasa_B0049_c9_aborted_nan.csv").Sessions {
		assert.NotEqual(t, analyze.Complete, s.Outcome, "aborted early in constant voltage")
	}
}

// What INDEX.md says of the batteries, stated as a person would, accuses no good night: one
// source hunts about its limit for an hour, and a tenth more than the label says has gone in
// before it is held.
func TestOpenChargesWithTheirLabelWarnOfNothing(t *testing.T) {
	lead := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * anHour}
	lithium := func(ah float64) analyze.Options {
		return analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: ah * anHour}
	}
	for name, o := range map[string]analyze.Options{
		"pb03_17ah_charge_1.csv": lead, "pb06_17ah_charge_4.csv": lead,
		"li01_nasa_B0025_c13_24C.csv": lithium(2), "li14_pan_25C_charge_rest.csv": lithium(2.9),
		"li19_pan_m10C_charge_gap7200s.csv": lithium(2.9), "li36_leaf_charge_10A_rest1h.csv": lithium(33.1),
		"li39_30q_A_cycle10.csv": lithium(3),
	} {
		assert.Empty(t, warnings(run(o, readPlain(t, name))), name)
	}
}

// A current that collapses because the cell is gone shows no full one, although it passes the
// tail of a battery as large as stated on its way. And lithium is not sulphated.
func TestACollapseIsNoFinish(t *testing.T) {
	s := run(analyze.Options{Capacity: 17 * anHour}, readPlain(t, "li08_nasa_B0050_c33_fault.csv")).Sessions[0]
	assert.Equal(t, analyze.Faulted, s.Outcome)
	assert.Equal(t, analyze.EndCurrentStopped, s.EndedBy)
	assert.False(t, analyze.Known(s.FinishS))
	assert.Contains(t, codesOf(&s), analyze.CodeAcceptsLittle)
	for _, f := range s.Findings {
		assert.NotContains(t, f.Message, "sulphat")
		assert.NotContains(t, f.Message, "acid")
	}
}

// A charge that was begun on a full cell and ended four rows later.
func TestFourRowsAreEnoughNotToCrash(t *testing.T) {
	d := analyzed(t, "li20_pan_full_topup_21s.csv")
	require.Len(t, d.Sessions, 1)
	assert.Equal(t, 4, d.Log.Used)
	assert.Equal(t, analyze.NoCharge, d.Sessions[0].Outcome)
}

func TestOpenLogsCountEveryRowOnce(t *testing.T) {
	for name, row := range truth(t) {
		d := analyzed(t, name)
		assert.Equal(t, field(t, row["n"]), float64(d.Log.Rows), name)
		assert.Equal(t, d.Log.Rows, d.Log.Used+d.Log.RejectedCount, name)
		assert.Equal(t, field(t, row["rows_sentinel"]), float64(d.Log.RejectedByReason["overload reading"]), name)
		assert.Equal(t, field(t, row["dup"]), float64(d.Log.RejectedByReason["duplicate row"]), name)
	}
}
