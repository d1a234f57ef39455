//go:build linux

package system

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// phrases are how a licence's text is known.
var phrases = map[string]string{
	"Apache-2.0":    "Apache License",
	"BSD-3-Clause":  "Redistribution and use in source and binary forms",
	"CC-BY-4.0":     "Creative Commons Attribution 4.0",
	"FTL":           "The FreeType License",
	"MIT":           "Permission is hereby granted, free of charge",
	"OFL-1.1":       "SIL OPEN FONT LICENSE Version 1.1",
	"public domain": "dedicated to the public domain",
}

// linked are the modules in the program as it is built for some systems, as path and version, with their folders.
func linked(t *testing.T, targets ...string) map[string]string {
	t.Helper()
	folders := make(map[string]string)
	for _, target := range targets {
		system, processor, _ := strings.Cut(target, "/")
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if .Version}}{{.Path}} {{.Version}} {{.Dir}}{{end}}{{end}}", "./cmd/amphora")
		list.Dir = top
		list.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOARCH="+processor)
		out, err := list.Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			if f := strings.Fields(line); len(f) == 3 {
				folders[f[0]+" "+f[1]] = f[2]
			}
		}
	}
	return folders
}

// texts are a module's licences in one line.
func texts(t *testing.T, folder string) (all string) {
	t.Helper()
	for _, pattern := range []string{"LICEN[CS]E*", "licenses/ftl.txt"} {
		files, err := filepath.Glob(filepath.Join(folder, pattern))
		require.NoError(t, err)
		for _, file := range files {
			if text, err := os.ReadFile(file); err == nil { // else it is a folder
				all += " " + inOneLine(text)
			}
		}
	}
	return all
}

// THIRD_PARTY lists what is linked in, no more and no less, and the licences that its modules bring.
func TestThirdPartyIsWhatIsLinkedIn(t *testing.T) {
	text, err := os.ReadFile("THIRD_PARTY")
	require.NoError(t, err)
	_, table, found := strings.Cut(string(text), "\n\n")
	require.True(t, found)
	listed := make(map[string]string)
	for line := range strings.Lines(table) {
		f := strings.Fields(line)
		require.GreaterOrEqual(t, len(f), 3, line)
		listed[f[0]+" "+f[1]] = strings.Join(f[2:], " ")
	}
	folders := linked(t, "linux/amd64", "linux/arm64", "linux/arm", "windows/amd64", "darwin/arm64")
	for module := range listed {
		assert.Contains(t, folders, module, "it is no longer linked in, or in another version: mend THIRD_PARTY")
	}
	for module, folder := range folders {
		if !assert.NotEmpty(t, listed[module], "%s is linked in: add it to THIRD_PARTY", module) {
			continue
		}
		licences := texts(t, folder)
		for licence := range strings.SplitSeq(listed[module], ", ") {
			phrase := phrases[licence]
			require.NotEmpty(t, phrase, "no licence is known by the name %q (%s)", licence, module)
			assert.True(t, strings.Contains(licences, phrase), "no text of %s is that of %s", module, licence)
		}
	}
}

// Everybody whose code is in the package is named in it with the text of his licence.
func TestCopyrightHoldsTheTexts(t *testing.T) {
	root := unpacked(t)
	copyright, err := os.ReadFile(filepath.Join(root, "usr/share/doc/amphora/copyright"))
	require.NoError(t, err)
	all := inOneLine(copyright)
	for _, own := range []string{"LICENSE", "dashboards/web/static/vendor/uPlot.LICENSE.txt"} {
		text, err := os.ReadFile(filepath.Join(top, own))
		require.NoError(t, err)
		assert.True(t, strings.Contains(all, inOneLine(text)), "%s is missing", own)
	}
	for module, folder := range linked(t, "linux/amd64") {
		assert.True(t, strings.Contains(all, "==== "+module), "%s is missing", module)
		for _, pattern := range []string{"NOTICE*", "LICEN[CS]E"} {
			files, err := filepath.Glob(filepath.Join(folder, pattern))
			require.NoError(t, err)
			for _, file := range files {
				text, err := os.ReadFile(file)
				require.NoError(t, err)
				if want := inOneLine(text); !strings.HasPrefix(want, "Apache License") {
					assert.True(t, strings.Contains(all, want), "%s is missing", file)
				}
			}
		}
	}
}

// inOneLine drops how a text is broken into lines.
func inOneLine(text []byte) string { return strings.Join(strings.Fields(string(text)), " ") }
