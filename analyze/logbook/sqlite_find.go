package logbook

import (
	"context"
	"database/sql"
	"strings"
)

// orders are what sessions may be put in order by, as the database has it. What is
// not known comes last.
var orders = map[OrderBy]string{
	ByStart:   "started_ms",
	ByBattery: "nullif(lower(battery), '')",
	ByOutcome: "outcome",
	ByCharge:  "charge_in_ah",
	ByLength:  "json_extract(document, '$.end_s') - json_extract(document, '$.start_s')",
}

// inWords finds sessions in which a word occurs: ? is it, six times.
const inWords = `(battery LIKE ? ESCAPE '\' OR channel LIKE ? ESCAPE '\' OR session.id LIKE ? ESCAPE '\' OR outcome LIKE ? ESCAPE '\'
	OR EXISTS (SELECT 1 FROM json_each(document, '$.findings') AS f
		WHERE json_extract(f.value, '$.code') || ' ' || json_extract(f.value, '$.message') LIKE ? ESCAPE '\')
	OR EXISTS (SELECT 1 FROM note WHERE note.session = session.id AND note.text LIKE ? ESCAPE '\'))`

// Sessions returns a page of sessions with their notes, in the filter's order, the
// newest first where it gives none. Filter.Next leads to the next page.
func (b *Book) Sessions(ctx context.Context, filter Filter) ([]Session, error) {
	filter, err := filter.checked()
	if err != nil {
		return nil, err
	}
	which, args := filter.page()
	return b.sessions(ctx, which, args...)
}

// page is which sessions are on a filter's page. They are put in order by what the
// indexes hold, and only those of the page are then read: the documents of years, if
// they went through the sorting, would take a second.
func (f Filter) page() (which string, args []any) {
	where, args := f.conditions()
	if f.Before.id != "" {
		where, args = where+" AND (started_ms, id) < (?, ?)", append(args, f.Before.started, f.Before.id)
	}
	by := "started_ms DESC, id DESC"
	if !f.Order.newestFirst() {
		way := " DESC"
		if f.Order.Rising {
			way = " ASC"
		}
		by = orders[f.Order.By] + way + " NULLS LAST, " + by
	}
	return "WHERE id IN (SELECT id FROM session " + where + " ORDER BY " + by + " LIMIT ? OFFSET ?) ORDER BY " + by,
		append(args, f.Limit, f.Before.passed)
}

// CountSessions tells how many sessions a filter finds, on all its pages.
func (b *Book) CountSessions(ctx context.Context, filter Filter) (n int, err error) {
	if filter, err = filter.checked(); err != nil {
		return 0, err
	}
	where, args := filter.conditions()
	err = b.look(ctx, "count sessions", func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, "SELECT count(*) FROM session "+where, args...).Scan(&n)
	})
	return n, err
}

// conditions are those of a filter, wherever its page begins.
func (f Filter) conditions() (where string, args []any) {
	where = "WHERE true"
	add := func(condition string, values ...any) {
		where, args = where+" AND "+condition, append(args, values...)
	}
	if f.Battery != "" {
		add("battery = ?", f.Battery)
	}
	if f.Channel != "" {
		add("channel = ?", f.Channel)
	}
	if f.Outcome != "" {
		add("outcome = ?", f.Outcome)
	}
	if !f.Since.IsZero() {
		add("started_ms >= ?", f.Since.UnixMilli())
	}
	if !f.Until.IsZero() {
		add("started_ms < ?", f.Until.UnixMilli())
	}
	for _, word := range strings.Fields(f.Text) {
		like := "%" + literally.Replace(word) + "%"
		add(inWords, like, like, like, like, like, like)
	}
	return where, args
}

// literally keeps the signs that stand for any text from doing so.
var literally = strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`)
