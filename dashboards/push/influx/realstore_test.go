package influx

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/push/points"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// real is a server as its users run it.
type real struct {
	t       *testing.T
	command func() *exec.Cmd
	ready   string // answers once it is
	url     string
	cmd     *exec.Cmd
}

// program finds one that Debian packages under a name.
func program(t *testing.T, name, debian string) string {
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("AMPHORA_CI") != "" {
			t.Fatalf("%s is needed here: install Debian's package %s", name, debian)
		}
		t.Skipf("%s is not installed (Debian's package %s)", name, debian)
	}
	return path
}

// port is one that nobody uses at the moment.
func port(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().String()
}

func startInflux(t *testing.T) *real {
	path, dir, at, inner := program(t, "influxd", "influxdb"), quickDir(t), port(t), port(t)
	r := &real{t: t, ready: "/ping", url: "http://" + at}
	r.command = func() *exec.Cmd {
		cmd := exec.Command(path, "run", "-config", os.DevNull)
		cmd.Env = append(os.Environ(),
			"INFLUXDB_META_DIR="+filepath.Join(dir, "meta"), "INFLUXDB_DATA_DIR="+filepath.Join(dir, "data"), "INFLUXDB_DATA_WAL_DIR="+filepath.Join(dir, "wal"),
			"INFLUXDB_HTTP_BIND_ADDRESS="+at, "INFLUXDB_BIND_ADDRESS="+inner, "INFLUXDB_REPORTING_DISABLED=true")
		return cmd
	}
	r.start()
	return r
}

func startVictoria(t *testing.T) *real {
	path, dir, at := program(t, "victoria-metrics", "victoria-metrics"), quickDir(t), port(t)
	r := &real{t: t, ready: "/health", url: "http://" + at}
	r.command = func() *exec.Cmd {
		return exec.Command(path, "-httpListenAddr="+at, "-storageDataPath="+dir, "-retentionPeriod=100y", "-loggerLevel=WARN")
	}
	r.start()
	return r
}

func (r *real) start() {
	r.t.Helper()
	r.cmd = r.command()
	require.NoError(r.t, r.cmd.Start())
	cmd := r.cmd
	r.t.Cleanup(func() { _ = cmd.Process.Kill() })
	until(r.t, func() bool {
		answer, err := http.Get(r.url + r.ready)
		if err == nil {
			answer.Body.Close()
		}
		return err == nil
	})
}

func (r *real) stop() {
	r.t.Helper()
	require.NoError(r.t, r.cmd.Process.Signal(syscall.SIGTERM))
	_ = r.cmd.Wait() // by the signal
}

func (r *real) get(path string, query url.Values) []byte {
	r.t.Helper()
	answer, err := http.Get(r.url + path + "?" + query.Encode())
	require.NoError(r.t, err)
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	require.NoError(r.t, err)
	require.Equal(r.t, 2, answer.StatusCode/100, "%s", b)
	return b
}

// ask makes a query of InfluxDB's language.
func (r *real) ask(database, q string) []byte {
	r.t.Helper()
	answer, err := http.PostForm(r.url+"/query", url.Values{"db": {database}, "epoch": {"ns"}, "q": {q}})
	require.NoError(r.t, err)
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	require.NoError(r.t, err)
	require.NotContains(r.t, string(b), `"error"`)
	return b
}

// influxPoints reads back everything of a database, as decoded does.
func (r *real) influxPoints(database string) map[point]string {
	r.t.Helper()
	all := map[point]string{}
	for name, fields := range map[string]string{
		points.SampleName:  "voltage,current,temperature,charge_ah",
		points.SessionName: "charge_ah,energy_wh,duration_s,held_v,set_a",
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
		d := json.NewDecoder(bytes.NewReader(r.ask(database, "SELECT "+fields+" FROM "+name+" GROUP BY *")))
		d.UseNumber()
		require.NoError(r.t, d.Decode(&answer))
		for _, s := range answer.Results[0].Series {
			for _, row := range s.Values {
				at, err := row[0].(json.Number).Int64()
				require.NoError(r.t, err)
				var texts []string
				for k, v := range row[1:] {
					if v != nil {
						f, err := v.(json.Number).Float64()
						require.NoError(r.t, err)
						texts = append(texts, fmt.Sprintf("%s=%v", s.Columns[k+1], f))
					}
				}
				all[point{named(name, s.Tags), at}] = strings.Join(texts, ",")
			}
		}
	}
	return all
}

// named is the name of a series, its tags in order; an empty one is none.
func named(name string, tags map[string]string) string {
	var list []string
	for k, v := range tags {
		if v != "" {
			list = append(list, k+"="+v)
		}
	}
	slices.Sort(list)
	return strings.Join(append([]string{name}, list...), ",")
}

// victoriaValues reads back every value, by the series of the point and the field.
func (r *real) victoriaValues() map[string]float64 {
	r.t.Helper()
	r.get("/internal/force_flush", nil)
	all := map[string]float64{}
	text := r.get("/api/v1/export", url.Values{"match[]": {`{__name__=~"charge_.+"}`}, "start": {"0"}, "end": {"4000000000"}})
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		var s struct {
			Metric     map[string]string
			Values     []float64
			Timestamps []int64
		}
		require.NoError(r.t, json.Unmarshal(lines.Bytes(), &s))
		name := s.Metric["__name__"]
		delete(s.Metric, "__name__")
		delete(s.Metric, "db") // it makes a label of the database
		for k, v := range s.Values {
			key := fmt.Sprint(named(name, s.Metric), " ", s.Timestamps[k])
			if _, twice := all[key]; twice {
				r.t.Fatalf("%s is there twice", key)
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
					Channel: r.Channel, Battery: r.Battery, Started: &evening, EndS: analyze.Number(k), Outcome: analyze.Complete,
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
	until(t, func() bool { return k.Status().Pending == 0 })
	assert.Zero(t, k.Status().Refused)
	assert.Zero(t, k.Status().Dropped)
}

// Every point of a night is in a real InfluxDB afterwards, each field and time as it
// was sent, though it had no such database at first, and was away in between.
func TestEveryPointIsInInfluxDB(t *testing.T) {
	t.Parallel()
	db := startInflux(t)
	records, want := aNight(t, 600)
	k := opened(t, &Server{URL: db.url, Database: "garage", Points: 1000}, t.TempDir())
	third := len(records) / 3
	for _, r := range records[:third] {
		k.Take(r)
	}
	until(t, func() bool { return strings.Contains(k.Status().Why, `404 Not Found: database not found: "garage"`) })
	db.ask("", "CREATE DATABASE garage")
	untilDelivered(t, k)

	db.stop()
	for _, r := range records[third : 2*third] {
		k.Take(r)
	}
	until(t, func() bool { return k.Status().Why != "" })
	db.start()
	for _, r := range records[2*third:] {
		k.Take(r)
	}
	untilDelivered(t, k)
	got := db.influxPoints("garage")
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
			db := startVictoria(t)
			s.URL = db.url
			records, want := aNight(t, 300)
			k := opened(t, s, t.TempDir())
			for _, r := range records {
				k.Take(r)
			}
			untilDelivered(t, k)
			values := valuesOf(t, want)
			got := db.victoriaValues()
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
	db := startInflux(t)
	db.ask("", "CREATE DATABASE garage")
	records, want := aNight(t, 30)
	// The type holds for the series' week, so all points with a temperature conflict.
	answer, err := http.Post(db.url+"/write?db=garage", "text/plain", strings.NewReader(fmt.Sprintf("charge_sample,channel=old temperature=7i %d\n", records[0].Samples[0].At.UnixNano())))
	require.NoError(t, err)
	answer.Body.Close()
	k := opened(t, &Server{URL: db.url, Database: "garage"}, t.TempDir())
	for _, r := range records {
		k.Take(r)
	}
	until(t, func() bool { return k.Status().Pending == 0 })
	conflicting := 0
	got := db.influxPoints("garage")
	for p, fields := range want {
		if strings.Contains(fields, "temperature=") {
			conflicting++
			continue
		}
		require.Equal(t, fields, got[p])
	}
	assert.EqualValues(t, conflicting, k.Status().Refused)
	aside, err := os.ReadFile(filepath.Join(k.(*sink).dir, asideName))
	require.NoError(t, err)
	assert.Contains(t, string(aside), `field type conflict: input field "temperature" on measurement "charge_sample" is type float, already exists as type integer`)
	assert.Equal(t, conflicting, strings.Count(string(aside), "\ncharge_sample"))
}
