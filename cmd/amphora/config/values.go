package config

import (
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"amphora/analyze/logbook"

	"github.com/goccy/go-yaml/ast"
)

// scalar is the text of a value as it is written, without YAML's idea of its type.
func scalar(v ast.Node) (string, bool) {
	switch v := v.(type) {
	case *ast.StringNode:
		return v.Value, true
	case *ast.LiteralNode:
		return strings.TrimSuffix(v.Value.Value, "\n"), true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return v.GetToken().Value, true
	}
	return "", false
}

// scalar reads a value's text; ok is false where the problem has been told.
func (r *reader) scalar(n node, want string) (text string, ok bool) {
	text, ok = scalar(n.value)
	switch {
	case !ok:
		r.wrongShape(n, want)
	case strings.TrimSpace(text) == "" || strings.ContainsRune(text, 0):
		r.fail(n, "%q is no text that can be used, want %s", text, want)
		ok = false
	}
	return text, ok
}

// parsed reads a value of whose text a function makes something, or says what is wrong.
func parsed[T any](r *reader, p *T, want string, parse func(text string) (T, error)) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, want)
		if !ok {
			return
		}
		v, err := parse(text)
		if err != nil {
			r.fail(n, "%v", err)
			return
		}
		*p = v
	}
}

func (r *reader) text(p *string, want string) func(node) {
	return func(n node) { *p, _ = r.scalar(n, want) }
}

// texts reads a list of texts.
func (r *reader) texts(p *[]string, want string) func(node) {
	return func(n node) {
		if r.list(n, func(n node) {
			if text, ok := r.scalar(n, want); ok {
				*p = append(*p, text)
			}
		}) == 0 {
			r.fail(n, "is empty, want %s", want)
		}
	}
}

// word reads one of a few words.
func (r *reader) word(p *string, choice ...string) func(node) {
	return func(n node) {
		want := strings.Join(choice, ", ")
		text, ok := r.scalar(n, want)
		if ok && !slices.Contains(choice, text) {
			r.fail(n, "%q is not known, want one of %s", text, want)
			return
		}
		*p = text
	}
}

// count reads a whole number from low to high.
func (r *reader) count(p *int, low, high int) func(node) {
	return func(n node) {
		want := fmt.Sprintf("a whole number from %d to %d", low, high)
		text, ok := r.scalar(n, want)
		if !ok {
			return
		}
		v, err := strconv.Atoi(text)
		switch {
		case err == nil && v >= low && v <= high && text == strconv.Itoa(v):
			*p = v
		case len(text) > 1 && text[0] == '0':
			r.fail(n, "%q begins with 0, which YAML takes for another base; want %s", text, want)
		default:
			r.fail(n, "%q is not %s", text, want)
		}
	}
}

// truth reads yes or no in the words people use.
func (r *reader) truth(p *bool) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, "true or false")
		switch strings.ToLower(text) {
		case "true", "yes", "on":
			*p = true
		case "false", "no", "off":
			*p = false
		default:
			if ok {
				r.fail(n, "%q is not known, want true or false", text)
			}
		}
	}
}

// name reads a name that journal, logbook and page can all carry. The logbook
// is the strictest of them.
func (r *reader) name(p *string) func(node) {
	return parsed(r, p, "a name", func(text string) (string, error) {
		if _, err := logbook.NewBattery(logbook.Fields{"name": text}); err != nil {
			return "", errors.New(strings.TrimPrefix(err.Error(), "name "))
		}
		return text, nil
	})
}

// path reads a path and makes it one from the working directory. In the file it
// is meant from the file's own folder, so that a service and its owner mean the
// same.
func (r *reader) path(p *string, want string) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, want)
		switch {
		case !ok:
		case text[0] == '~' || text[0] == '$':
			r.fail(n, "%q: only a shell knows %c, write the folder out", text, text[0])
		case filepath.IsAbs(text):
			*p = filepath.Clean(text)
		default:
			*p = filepath.Join(filepath.Dir(r.file), text)
		}
	}
}

// url reads an address. Addresses of webhooks are passwords, so what is wrong
// with one is said without showing it.
func (r *reader) url(p *string, schemes ...string) func(node) {
	return func(n node) {
		want := "an address like " + schemes[0] + "://host.local/"
		text, ok := r.scalar(n, want)
		if !ok {
			return
		}
		u, err := url.Parse(text)
		switch {
		case err != nil:
			r.fail(n, "is not an address that can be used, want %s", want)
		case u.Scheme == "":
			r.fail(n, "does not say how to get there, want %s in front", strings.Join(schemes, ":// or ")+"://")
		case !slices.Contains(schemes, u.Scheme):
			r.fail(n, "begins with %q, want %s", u.Scheme+":", strings.Join(schemes, ":// or ")+"://")
		case u.Hostname() == "":
			r.fail(n, "names no host, want %s", want)
		case u.User != nil:
			r.fail(n, "holds a user or password; secrets come from files only, as in password-file: or url-file:")
		default:
			*p = text
		}
	}
}
