package influx

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/push/influx/stores"
	"amphora/dashboards/push/points"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// influxPoints reads back everything of a database, as decoded does.
func influxPoints(t testing.TB, r *stores.Store, database string) map[point]string {
	t.Helper()
	all := map[point]string{}
	for name, fields := range map[string]string{
		points.SampleName:  "charge_ah,current,temperature,voltage",
		points.SessionName: "charge_ah,duration_s,energy_wh,held_v,set_a",
	} {
		var answer struct {
			Results []struct {
				Series []struct {
					Tags    map[string]string
					Columns []string
					Values  [][]any
				}
			}
		}
		d := json.NewDecoder(bytes.NewReader(r.Ask(database, "SELECT "+fields+" FROM "+name+" GROUP BY *")))
		d.UseNumber()
		require.NoError(t, d.Decode(&answer))
		for _, s := range answer.Results[0].Series {
			for _, row := range s.Values {
				at, err := row[0].(json.Number).Int64()
				require.NoError(t, err)
				var texts []string
				for k, v := range row[1:] {
					if v != nil {
						f, err := v.(json.Number).Float64()
						require.NoError(t, err)
						texts = append(texts, fmt.Sprintf("%s=%v", s.Columns[k+1], f))
					}
				}
				all[point{named(name, s.Tags), at}] = strings.Join(texts, ",")
			}
		}
	}
	return all
}

// victoriaValues reads back every value, by the series of the point and the field.
func victoriaValues(t testing.TB, r *stores.Store) map[string]float64 {
	t.Helper()
	r.Get("/internal/force_flush", nil)
	all := map[string]float64{}
	text := r.Get("/api/v1/export", url.Values{"match[]": {`{__name__=~"charge_.+"}`}, "start": {"0"}, "end": {"4000000000"}})
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		var s struct {
			Metric     map[string]string
			Values     []float64
			Timestamps []int64
		}
		require.NoError(t, json.Unmarshal(lines.Bytes(), &s))
		name := s.Metric["__name__"]
		delete(s.Metric, "__name__")
		delete(s.Metric, "db") // it makes a label of the database
		for k, v := range s.Values {
			key := fmt.Sprint(named(name, s.Metric), " ", s.Timestamps[k])
			if _, twice := all[key]; twice {
				t.Fatalf("%s is there twice", key)
			}
			all[key] = v
		}
	}
	return all
}

// valuesOf are the points as VictoriaMetrics has them: a series for each field, times
// in ms.
func valuesOf(t *testing.T, all map[point]string) map[string]float64 {
	values := map[string]float64{}
	for p, fields := range all {
		name, tags, _ := strings.Cut(p.series, ",")
		for f := range strings.SplitSeq(fields, ",") {
			field, text, _ := strings.Cut(f, "=")
			var v float64
			_, err := fmt.Sscan(text, &v)
			require.NoError(t, err)
			values[fmt.Sprint(name, "_", field, ",", tags, " ", p.at/1e6)] = v
		}
	}
	return values
}

// awkward are names for channels and batteries that could mean something else to a
// server.
var awkward = []string{"bench", "a,b=c d", `quote"d`, `back\slash`, `trap\,x=1`, `end\`, "#7", "Größe €", "+/$&", "v=1 2", "tab\tin it", "x "}

// aNight is a night of several channels with those names, and all points of it.
func aNight(t *testing.T, rows int) (records []push.Record, want map[point]string) {
	evening := time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	lines := points.New(map[string]string{"site": "north, side"})
	for k := range rows {
		for n, name := range awkward {
			s := push.Sample{
				At: evening.Add(time.Duration(k)*time.Second + time.Duration(n)*time.Millisecond), Stage: analyze.StageNames()[k%5],
				Volts: 12 + float64(k)/1000, Amps: -float64(k%300) / 7, Celsius: analyze.Unknown(), ChargeAh: float64(k) / 3600,
			}
			if k%3 == 0 {
				s.Celsius = 1e-7 * float64(k)
			}
			r := push.Record{Channel: name, Battery: awkward[len(awkward)-1-n], Seq: uint64(k + 1), Samples: []push.Sample{s}}
			if k == rows/2 {
				r.Sessions = []*analyze.Session{{
					Channel: r.Channel, Battery: analyze.Name(r.Battery), Started: &evening, EndS: analyze.Number(k), Outcome: analyze.Complete,
					ChargeInAh: 3.5, EnergyInWh: 44.25, HeldV: 14.4, SetA: analyze.Number(analyze.Unknown()),
				}}
			}
			records = append(records, r)
			_, err := lines.Sample(r.Channel, r.Battery, &s)
			require.NoError(t, err)
			for _, s := range r.Sessions {
				_, err := lines.Session(s)
				require.NoError(t, err)
			}
		}
	}
	_, want = decoded(t, lines.Bytes())
	require.Len(t, want, (rows+1)*len(awkward))
	return records, want
}

func opened(t *testing.T, s *Server, dir string) push.Sink {
	s.Tags = map[string]string{"site": "north, side"}
	s.Age = 20 * time.Millisecond
	k, err := s.Open(push.Host{Dir: dir})
	require.NoError(t, err)
	t.Cleanup(k.Close)
	return k
}

func untilDelivered(t *testing.T, k push.Sink) {
	t.Helper()
	testhelp.Until(t, "the delivery", func() bool { return k.Status().Pending == 0 })
	assert.Zero(t, k.Status().Refused)
	assert.Zero(t, k.Status().Dropped)
}

// Every point of a night is in a real InfluxDB afterwards, each field and time as it
// was sent, though it had no such database at first, and was away in between.
func TestEveryPointIsInInfluxDB(t *testing.T) {
	t.Parallel()
	db := stores.Influx(t)
	records, want := aNight(t, 600)
	k := opened(t, &Server{URL: db.URL, Database: "garage", Points: 1000}, t.TempDir())
	third := len(records) / 3
	for _, r := range records[:third] {
		k.Take(r)
	}
	testhelp.Until(t, "the refusal", func() bool { return strings.Contains(k.Status().Why, `404 Not Found: database not found: "garage"`) })
	db.Ask("", "CREATE DATABASE garage")
	untilDelivered(t, k)

	db.Stop()
	for _, r := range records[third : 2*third] {
		k.Take(r)
	}
	testhelp.Until(t, "the loss", func() bool { return k.Status().Why != "" })
	db.Start()
	for _, r := range records[2*third:] {
		k.Take(r)
	}
	untilDelivered(t, k)
	var got map[point]string
	testhelp.Until(t, "all points", func() bool { // a store that has just begun does not show all of it at once
		got = influxPoints(t, db, "garage")
		return len(got) >= len(want)
	})
	require.Len(t, got, len(want))
	for p, fields := range want {
		require.Equal(t, fields, got[p], "%v", p)
	}
}

// Every value of a night is in a real VictoriaMetrics afterwards, by either way.
func TestEveryPointIsInVictoriaMetrics(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]*Server{"with a database": {Database: "garage"}, "with a bucket": {Org: "house", Bucket: "garage"}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			db := stores.Victoria(t)
			s.URL = db.URL
			records, want := aNight(t, 300)
			k := opened(t, s, t.TempDir())
			for _, r := range records {
				k.Take(r)
			}
			untilDelivered(t, k)
			values := valuesOf(t, want)
			var got map[string]float64
			testhelp.Until(t, "all values", func() bool { // it takes a moment until all can be read
				got = victoriaValues(t, db)
				return len(got) >= len(values)
			})
			require.Len(t, got, len(values))
			for key, v := range values {
				if d := math.Abs(got[key] - v); !(d <= 1e-11*(1+math.Abs(v))) { // it keeps 12 digits of the largest in a block
					t.Fatalf("%s: %v, want %v", key, got[key], v)
				}
			}
		})
	}
}

// A field that a database holds as another type is refused for its points alone, and
// they are told apart by the real reason.
func TestInfluxDBRefusesAType(t *testing.T) {
	t.Parallel()
	db := stores.Influx(t)
	db.Ask("", "CREATE DATABASE garage")
	records, want := aNight(t, 30)
	// The type holds for the series' week, so all points with a temperature conflict.
	old := fmt.Sprintf("charge_sample,channel=old temperature=7i %d\n", records[0].Samples[0].At.UnixNano())
	testhelp.Until(t, "the point of another type", func() bool {
		answer, err := http.Post(db.URL+"/write?db=garage", "text/plain", strings.NewReader(old))
		require.NoError(t, err)
		return answer.Body.Close() == nil && answer.StatusCode == http.StatusNoContent
	})
	k := opened(t, &Server{URL: db.URL, Database: "garage"}, t.TempDir())
	for _, r := range records {
		k.Take(r)
	}
	testhelp.Until(t, "the delivery", func() bool { return k.Status().Pending == 0 })
	conflicting := 0
	for p, fields := range want {
		if strings.Contains(fields, "temperature=") {
			conflicting++
			delete(want, p)
		}
	}
	var got map[point]string
	testhelp.Until(t, "all that do not conflict", func() bool {
		got = influxPoints(t, db, "garage")
		return len(got) >= len(want)
	})
	for p, fields := range want {
		require.Equal(t, fields, got[p])
	}
	testhelp.Until(t, "the answer to the others", func() bool { return k.Status().Refused > 0 && k.Status().Pending == 0 })
	assert.EqualValues(t, conflicting, k.Status().Refused)
	aside, err := os.ReadFile(filepath.Join(k.(*sink).dir, asideName))
	require.NoError(t, err)
	assert.Contains(t, string(aside), `field type conflict: input field "temperature" on measurement "charge_sample" is type float, already exists as type integer`)
	assert.Equal(t, conflicting, strings.Count(string(aside), "\ncharge_sample"))
}
