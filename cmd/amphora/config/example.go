package config

import _ "embed"

// Example is a configuration to begin with: every setting is in it, with a
// comment; the rarer ones are switched off.
//
//go:embed amphora.example.yaml
var Example string
