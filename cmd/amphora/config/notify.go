package config

import (
	"fmt"
	"net"
	"net/mail"
	"time"

	"amphora/dashboards/notify"
)

// notify reads who is told.
func (r *reader) notify(p *[]Notify) func(node) {
	return func(n node) {
		r.list(n, func(n node) {
			var one Notify
			r.oneOf(n, keys{"webhook": r.webhook(&one.Webhook), "command": r.command(&one.Command), "email": r.email(&one.Email)})
			*p = append(*p, one)
		})
	}
}

// telling reads when those are told.
func (r *reader) telling(p *notify.Rules) func(node) {
	return func(n node) {
		r.mapping(n, keys{
			"quiet-hours": r.quietHours(&p.Quiet),
			"repeat":      r.durationWithin(&p.Repeat, "min", leastRepeat, 24*time.Hour),
		})
	}
}

func (r *reader) quietHours(p *notify.Quiet) func(node) {
	return parsed(r, p, "hours like 22:00-07:00", notify.ParseQuiet)
}

// leastRepeat keeps an alarm from using up all messages of an hour.
const leastRepeat = 5 * time.Minute

func (r *reader) webhook(p **notify.Webhook) func(node) {
	return func(n node) {
		w := &notify.Webhook{}
		*p = w
		seen := r.mapping(n, keys{
			"url":        r.url(&w.URL, "https", "http"),
			"url-file":   r.secret(&w.URLFile, func(file string) error { return (&notify.Webhook{URLFile: file}).Check() }),
			"token-file": r.secret(&w.TokenFile, firstLine),
			"headers":    r.headers(&w.Headers),
			"headers-file": r.secret(&w.HeadersFile, func(file string) error {
				return (&notify.Webhook{URL: "https://host.example/", HeadersFile: file}).Check()
			}),
			"signing-key-file": r.secret(&w.KeyFile, firstLine),
		})
		_, given := seen["url"]
		_, file := seen["url-file"]
		if seen != nil && given == file {
			r.fail(n, "want exactly one of url and url-file")
		}
	}
}

// command reads a program with arguments that are templates.
func (r *reader) command(p **notify.Command) func(node) {
	return func(n node) {
		var args []string
		r.texts(&args, "a program and its arguments, like [notify-send, hello]")(n)
		if len(args) > 0 {
			c, err := notify.NewCommand(args)
			if err != nil {
				r.fail(n, "%v", err)
			}
			*p = c
		}
		r.program(n, args)
		r.checkWriters(n)
	}
}

func (r *reader) email(p **notify.Email) func(node) {
	return func(n node) {
		m, way := &notify.Email{}, ""
		*p = m
		seen := r.mapping(n, keys{
			"server":        r.mailServer(&m.Server),
			"tls":           r.word(&way, "starttls", "always"),
			"from":          r.mailAddress(func(a mail.Address) { m.From = a }),
			"to":            r.mailAddresses(&m.To),
			"user":          r.text(&m.User, "a user's name"),
			"password-file": r.secret(&m.PasswordFile, firstLine),
			"ca-file":       r.authorities(&m.CAFile),
		})
		m.TLS = way == "always"
		r.need(n, seen, "server", "from", "to")
		if (m.User == "") != (m.PasswordFile == "") {
			r.fail(n, "user and password-file go together, but one is missing")
		}
	}
}

func (r *reader) mailServer(p *string) func(node) {
	return parsed(r, p, "host:port", func(text string) (string, error) {
		if host, port, err := net.SplitHostPort(text); err != nil || host == "" || port == "" {
			return "", fmt.Errorf("%q is not host:port, want text like mail.example:587", text)
		}
		return text, nil
	})
}

func (r *reader) mailAddress(take func(mail.Address)) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, "an address")
		if !ok {
			return
		}
		a, err := mail.ParseAddress(text)
		if err != nil {
			r.fail(n, "%q is no mail address, want text like amphora@house.example", text)
			return
		}
		take(*a)
	}
}

func (r *reader) mailAddresses(p *[]mail.Address) func(node) {
	return func(n node) {
		if r.list(n, r.mailAddress(func(a mail.Address) { *p = append(*p, a) })) == 0 {
			r.fail(n, "is empty, want a list like [me@house.example]")
		}
	}
}
