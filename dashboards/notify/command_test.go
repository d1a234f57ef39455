//go:build unix

package notify

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func commandOf(t *testing.T, args ...string) *Command {
	c, err := NewCommand(args)
	require.NoError(t, err)
	return c
}

func TestCommandGetsArgumentsEnvironmentAndInput(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	c := commandOf(t, "sh", "-c", `printf '%s|%s|%s|' "$1" "$AMPHORA_CODE" "$AMPHORA_BATTERY" >"$0"; cat >>"$0"`, out, "{{.Title}}: {{.Message}}")
	n := note()
	require.NoError(t, c.Send(t.Context(), n))
	got, err := os.ReadFile(out)
	require.NoError(t, err)
	body, err := n.body()
	require.NoError(t, err)
	assert.Equal(t, "Warning: bench (mower), stalled: evidence of stalled|stalled|mower|"+string(body), string(got))
}

func TestCommandThatCannotBe(t *testing.T) {
	for want, args := range map[string][]string{
		"names no program":                {""},
		"no message may choose what runs": {"/bin/{{.Code}}"},
		`argument 1 "{{.Titel}}" cannot be filled in with what there is, {{.`: {"true", "{{.Titel}}"},
		`argument 2 "{{.Title" cannot be filled in: `:                         {"true", "x", "{{.Title"},
	} {
		_, err := NewCommand(args)
		assert.ErrorContains(t, err, want)
	}
}

// The fields that are named where one is not known are all of them, and each has its
// place in the environment.
func TestCommandNamesItsFields(t *testing.T) {
	_, err := NewCommand([]string{"true", "{{.Nothing}}"})
	require.Error(t, err)
	fields := reflect.TypeFor[Fields]()
	environment := strings.Join(Fields{}.environment(), " ")
	for k := range fields.NumField() {
		name := fields.Field(k).Name
		assert.Contains(t, err.Error(), "{{."+name+"}}")
		assert.Contains(t, environment, "AMPHORA_"+strings.ToUpper(name)+"=")
	}
}

// What a device or a name says runs nothing and makes no option.
func TestS10CommandRunsNoText(t *testing.T) {
	dir := t.TempDir()
	trap := filepath.Join(dir, "trap")
	for _, text := range []string{"$(touch " + trap + ")", "; touch " + trap, "`touch " + trap + "`", "a\ntouch " + trap, "nul\x00here", "--output=" + trap, "\x1b]0;x\a"} {
		out := filepath.Join(dir, "out")
		e := raised("stalled", analyze.Warning)
		e.Message, e.Battery = text, text
		n := newNotification([]Event{e}, 0, false, time.Now())
		c := commandOf(t, "sh", "-c", `printf '%s' "$1" >"$0"`, out, "{{.Message}}")
		require.NoError(t, c.Send(t.Context(), &n))
		got, err := os.ReadFile(out)
		require.NoError(t, err)
		assert.Equal(t, clean(text), strings.TrimSpace(string(got)))
		assert.NotEqual(t, byte('-'), got[0])
		assert.NotContains(t, string(got), "\n")
		assert.NoFileExists(t, trap)
	}
}

// A command that does not end, and one that leaves a grandchild with the pipe, cost
// a limited time, and nothing of them stays.
func TestCommandThatHangs(t *testing.T) {
	long := note()
	long.Events = slices.Repeat(long.Events, 1000) // more than a pipe holds
	for _, script := range []string{
		"echo $$ >%[1]s; sleep 600; true", "sleep 600 & echo $! >%[1]s; exit 0", "sleep 600 & echo $! >%[1]s; wait",
		"exec 3<&0; sleep 600 <&3 & echo $! >%[1]s; exit 0",
	} {
		pid := filepath.Join(t.TempDir(), "pid")
		c := commandOf(t, "sh", "-c", fmt.Sprintf(script, pid))
		assert.Equal(t, 30*time.Second, c.limit())
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		sent := make(chan error, 1)
		go func() { sent <- c.Send(ctx, long) }()
		var number string
		testhelp.Until(t, "it to run", func() bool {
			text, _ := os.ReadFile(pid)
			number = strings.TrimSuffix(string(text), "\n")
			return len(number) < len(text)
		})
		endsItself := strings.Contains(script, "exit 0")
		if !endsItself {
			cancel()
		}
		testhelp.Until(t, "its end, and not for ten minutes", func() bool { return len(sent) > 0 })
		if err := <-sent; !endsItself {
			require.ErrorContains(t, err, "had not finished")
		}
		testhelp.Until(t, "nothing to be left of "+script, func() bool { return ended(number) })
	}
}

// ended reports whether a process is gone, or dead and only not yet collected.
func ended(pid string) bool {
	stat, err := os.ReadFile("/proc/" + pid + "/stat")
	return err != nil || strings.Contains(string(stat), ") Z ")
}

func TestCommandThatFails(t *testing.T) {
	assert.ErrorContains(t, commandOf(t, "sh", "-c", "exit 3").Send(t.Context(), note()), "exit status 3")
	assert.ErrorContains(t, commandOf(t, filepath.Join(t.TempDir(), "none")).Send(t.Context(), note()), "no such file")
	assert.Equal(t, "command notify-send", commandOf(t, "/usr/bin/notify-send").Name())
}
