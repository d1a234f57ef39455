package main

import (
	"os"

	"amphora/cmd/amphora/config"

	"github.com/spf13/cobra"
)

// dataFlag says which data folder a command works on.
type dataFlag struct{ given string }

// register adds the flag to a command and to all below it.
func (d *dataFlag) register(c *cobra.Command) {
	c.PersistentFlags().StringVar(&d.given, "data", "",
		"data `folder` (default: $AMPHORA_DATA, else data: of the configuration, else $XDG_STATE_HOME/amphora)")
}

// named reports whether a person said which folder, and so may have mistyped it. One that
// nobody names is not there before the first use.
func (d *dataFlag) named() bool { return d.given != "" || os.Getenv("AMPHORA_DATA") != "" }

// folder is the data folder to use.
func (d *dataFlag) folder() (string, error) { return config.DataDir(d.given) }
