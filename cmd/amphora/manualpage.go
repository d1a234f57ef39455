package main

import (
	"strings"
	"unicode"
)

// page is a manual page that is being written, in the man macros of roff
// (groff_man(7), mandoc's man(7)).
type page struct{ strings.Builder }

func newPage(name, section, date, version, about string) *page {
	p := &page{}
	p.line(`.\" Made by amphora manual from the program's own help.`)
	p.line(`.TH "` + roff(strings.ToUpper(name)) + `" "` + section + `" "` + date + `" "amphora ` + roff(version) + `" "amphora"`)
	p.line(".nh") // names of flags and files are not to be broken
	p.line(".ad l")
	p.section("NAME")
	first, size := []rune(about)[0], len(string([]rune(about)[0]))
	p.line(roff(name) + ` \- ` + roff(string(unicode.ToLower(first))+about[size:]))
	return p
}

func (p *page) line(text string) { p.WriteString(text + "\n") }

func (p *page) section(title string) { p.line(".SH " + title) }

// item is a thing and, indented below it, what it means.
func (p *page) item(roffName, means string) {
	p.line(".TP")
	p.line(roffName)
	p.line(roff(means))
}

func (p *page) things(title string, all []thing) {
	p.section(title)
	for _, t := range all {
		p.item(`\fI`+roff(t.name)+`\fR`, t.means)
	}
}

// prose is filled anew for the reader's width; a blank line begins a paragraph.
func (p *page) prose(text string) {
	for n, paragraph := range strings.Split(strings.TrimSpace(text), "\n\n") {
		if n > 0 {
			p.line(".PP")
		}
		p.line(roff(paragraph))
	}
}

// verbatim keeps its lines.
func (p *page) verbatim(text string) {
	p.line(".nf")
	for line := range strings.Lines(strings.TrimRight(text, "\n")) {
		p.line(roff(strings.TrimRight(line, "\n")))
	}
	p.line(".fi")
}

// roff writes text so that every character stands for itself.
func roff(text string) string {
	lines := strings.Split(strings.NewReplacer(`\`, `\e`, "-", `\-`, "`", `\(ga`, "'", `\(aq`, "^", `\(ha`, "~", `\(ti`, `"`, `\(dq`).Replace(text), "\n")
	for n, line := range lines {
		if strings.HasPrefix(line, ".") {
			lines[n] = `\&` + line // else it were a request
		}
	}
	return strings.Join(lines, "\n")
}
