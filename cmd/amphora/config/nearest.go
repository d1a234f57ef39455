package config

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// meanings tell what people write and where it belongs, in the words of the
// file. A key that is merely misspelt needs no entry.
var meanings = map[string]string{
	"baudrate": "baud", "baud-rate": "baud", "speed": "baud", "rate": "baud",
	"device": "port", "tty": "port", "path": "port",
	"databits": "bits", "data-bits": "bits", "stopbits": "stop", "stop-bits": "stop",
	"host": "address", "format": "decoder", "parser": "decoder",
	"input": "source", "sources": "source", "command": "exec",
	"max-hours": "hours", "time": "hours", "duration": "hours",
	"temperature": "celsius", "max-temperature": "celsius", "temp": "celsius",
	"ah": "charge", "max-charge": "charge", "voltage": "volts", "max-voltage": "volts", "timeout": "silence",
	"volts": "voltage", "amps": "current", "accuracy": "meter",
	"rated": "capacity", "type": "chemistry", "id": "name",
	"datadir": "data", "data-dir": "data", "directory": "data",
	"http": "listen", "address": "listen", "bind": "listen", "auth": "access",
	"notifications": "notify", "alerts": "notify",
	"retention": "keep-days", "retain": "keep-days", "fsync": "sync",
	"token": "token-file", "password": "password-file", "users": "users-file",
	"cert": "tls-cert", "key": "tls-key", "certificate": "tls-cert",
}

// elsewhere tells where a key that is known, but not here, belongs.
var elsewhere = map[string]string{
	"port": "source: {serial: …}", "baud": "source: {serial: …}", "parity": "source: {serial: …}",
	"serial": "source: of a channel", "tcp": "source: of a channel", "exec": "source: of a channel", "file": "source: of a channel",
	"decoder": "a channel", "battery": "a channel", "capacity": "a channel", "chemistry": "a channel", "cells": "a channel",
	"tail": "a channel", "meter": "a channel", "limits": "a channel", "findings": "a channel", "source": "a channel",
	"hours": "limits: of a channel", "celsius": "limits: of a channel", "charge": "limits: of a channel",
	"silence": "limits: of a channel", "volts": "limits: of a channel",
	"data": "the top level", "listen": "the top level", "channels": "the top level", "journal": "the top level",
	"notify": "the top level", "push": "the top level", "access": "the top level",
	"sync": "journal:", "keep-days": "journal:", "min-free": "journal:",
	"token-file": "access:", "users-file": "access:", "tls-cert": "access:", "tls-key": "access:", "hosts": "access:",
}

// meant says what a key that is not known here may have been meant for.
func meant(word string, known []string) string {
	canon := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(word)), "_", "-")
	for _, guess := range []string{canon, meanings[canon], Nearest(canon, known)} {
		for _, k := range known {
			if guess == k {
				return fmt.Sprintf("did you mean %q?", k) + secretAdvice(canon)
			}
		}
	}
	if place := elsewhere[canon]; place != "" {
		return fmt.Sprintf("it belongs under %s", place)
	}
	for _, guess := range []string{meanings[canon], Nearest(canon, slices.Sorted(maps.Keys(elsewhere)))} {
		if place := elsewhere[guess]; place != "" {
			return fmt.Sprintf("did you mean %q? It belongs under %s", guess, place)
		}
	}
	return "known here are " + strings.Join(known, ", ") + secretAdvice(canon)
}

func secretAdvice(word string) string {
	switch word {
	case "token", "password", "secret", "pass", "users":
		return " (secrets come from files only)"
	}
	return ""
}

// Nearest is the known word that takes the fewest slips to become word, empty
// where even that one is another word: more than a third of its letters, or
// more than two, are wrong.
func Nearest(word string, known []string) string {
	best, fewest := "", 3
	if len(word) > 32 {
		return ""
	}
	for _, k := range known {
		if d := slips(word, k); d < fewest && 3*d <= max(len(k), len(word)) {
			best, fewest = k, d
		}
	}
	return best
}

// slips counts the letters to insert, drop, change or swap with their
// neighbour to make b of a.
func slips(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
