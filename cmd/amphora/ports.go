package main

import (
	"fmt"
	"io"
	"strings"

	"amphora/capture"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func portsCommand(s streams) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "ports",
		Short: "List the serial ports",
		Long: "Lists the serial ports: the name to put into a configuration, what it is, who has it open, whether this\n" +
			"user may open it, and what to do if not. No port is opened for it.",
		Example: "  amphora ports\n  amphora ports --json",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			ports, err := capture.Ports("/")
			if err != nil {
				return err
			}
			if asJSON {
				return writeJSON(s.out, portViews(ports))
			}
			return portPage(s.out, ports)
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

// portView is a port as JSON has it.
type portView struct {
	Name    string       `json:"name"` // the stable one
	Device  string       `json:"device"`
	ByID    []string     `json:"by_id"`
	ByPath  []string     `json:"by_path"`
	Kind    string       `json:"kind"`
	USB     *usbView     `json:"usb"`
	Holders []holderView `json:"holders"`
	Allowed bool         `json:"allowed"`
	Advice  *string      `json:"advice"` // null if all is well
}

type usbView struct {
	Vendor  string `json:"vendor_id"`
	Product string `json:"product_id"`
	Serial  string `json:"serial"`
	Text    string `json:"text"`
}

type holderView struct {
	PID     int    `json:"pid"`
	Command string `json:"command"`
}

func portViews(ports []capture.Port) []portView {
	views := make([]portView, 0, len(ports))
	for _, p := range ports {
		v := portView{Name: p.StableName(), Device: p.Device, ByID: orNone(p.ByID), ByPath: orNone(p.ByPath), Kind: p.Kind,
			Holders: []holderView{}, Allowed: p.Access.Allowed}
		if p.USB != nil {
			v.USB = &usbView{p.USB.Vendor, p.USB.Product, p.USB.Serial, p.USB.Text}
		}
		for _, h := range p.Holders {
			v.Holders = append(v.Holders, holderView{h.PID, h.Command})
		}
		if advice := p.Advice(); advice != "" {
			v.Advice = &advice
		}
		views = append(views, v)
	}
	return views
}

func portPage(w io.Writer, ports []capture.Port) error {
	if len(ports) == 0 {
		_, err := fmt.Fprintln(w, "no serial ports here; plug the adapter in and look again")
		return err
	}
	var rows [][]string
	for _, p := range ports {
		may := "yes"
		if !p.Access.Allowed {
			may = "no"
		}
		var holders []string
		for _, h := range p.Holders {
			holders = append(holders, h.String())
		}
		rows = append(rows, []string{p.StableName(), p.Device, described(p), strings.Join(holders, ", "), may})
	}
	if err := report.Table(w, []string{"name to use", "now", "what it is", "held by", "may be opened"}, rows); err != nil {
		return err
	}
	for _, p := range ports {
		if advice := p.Advice(); advice != "" {
			fmt.Fprintln(w)
			if err := report.Paragraph(w, p.Device+": ", advice); err != nil {
				return err
			}
		}
	}
	return nil
}

// described is what a port is, in plain words and in its own.
func described(p capture.Port) string {
	if p.USB == nil || p.USB.Text == "" {
		return p.Kind
	}
	return p.Kind + ": " + p.USB.Text
}
