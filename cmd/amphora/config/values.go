package config

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"amphora/analyze/quantity"

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

// amount reads a quantity above zero, in the SI unit of its kind.
func (r *reader) amount(p *float64, k quantity.Kind, bareUnit string) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, k.String())
		if !ok {
			return
		}
		v, err := k.ParsePositive(text, bareUnit)
		if err != nil {
			r.fail(n, "%v", err)
			return
		}
		*p = v
	}
}

// duration reads a time above zero.
func (r *reader) duration(p *time.Duration, bareUnit string, most time.Duration) func(node) {
	return func(n node) {
		var seconds float64
		r.amount(&seconds, quantity.Time, bareUnit)(n)
		if seconds > most.Seconds() {
			r.fail(n, "is too long, want %s at most", strings.TrimSuffix(strings.TrimSuffix(most.String(), "0s"), "0m"))
			return
		}
		*p = time.Duration(seconds * float64(time.Second))
	}
}
