package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

const batteryColumns = "name, chemistry, cells, capacity_ah, capacity_hours, reserve_minutes, bought, place, note, retired_ms"

// AddBattery adds a battery; its name must be new (ErrExists).
func (b *Book) AddBattery(ctx context.Context, battery Battery) error {
	battery, err := battery.checked()
	if err != nil {
		return err
	}
	return b.change(ctx, "add battery", func(tx *sql.Tx) error {
		added, err := insertBattery(ctx, tx, battery)
		if err == nil && !added {
			return fmt.Errorf("battery %q %w", battery.Name, ErrExists)
		}
		return err
	})
}

// EditBattery changes the given fields of a battery and returns it as it is
// then. Two people who edit different fields at once both get their way.
func (b *Book) EditBattery(ctx context.Context, name string, given Fields) (Battery, error) {
	var changed Battery
	err := b.change(ctx, "edit battery", func(tx *sql.Tx) error {
		old, err := batteryNamed(ctx, tx, name)
		if err != nil {
			return err
		}
		if changed, err = old.With(given); err != nil {
			return err
		}
		c := changed
		_, err = tx.ExecContext(ctx, `UPDATE battery SET chemistry = ?, cells = ?, capacity_ah = ?, capacity_hours = ?,
			reserve_minutes = ?, bought = ?, place = ?, note = ?, retired_ms = ? WHERE name = ?`,
			c.Chemistry, c.Cells, c.CapacityAh, c.CapacityHours,
			c.ReserveMinutes, c.Bought, c.Where, c.Note, milliseconds(c.Retired), c.Name)
		return err
	})
	return changed, err
}

// RetireBattery notes that a battery is in use no more. It stays in the book.
func (b *Book) RetireBattery(ctx context.Context, name string, at time.Time) (Battery, error) {
	return b.EditBattery(ctx, name, Fields{"retired": stamp(at)})
}

// DropBattery takes out a battery that was mistyped. One that has charges or readings
// stays (ErrInUse): they would be nobody's.
func (b *Book) DropBattery(ctx context.Context, name string) error {
	return b.change(ctx, "take out battery", func(tx *sql.Tx) error {
		if _, err := batteryNamed(ctx, tx, name); err != nil {
			return err
		}
		var charges, readings int
		err := tx.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM session WHERE lower(battery) = lower(?1)),
			(SELECT count(*) FROM reading WHERE battery = ?1)`, name).Scan(&charges, &readings)
		if err != nil {
			return err
		}
		if charges+readings > 0 {
			return fmt.Errorf("battery %q %w: charges %d, readings %d; retire it instead", name, ErrInUse, charges, readings)
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM battery WHERE name = ?", name)
		return err
	})
}

// Battery returns the battery of that name, or ErrNotFound.
func (b *Book) Battery(ctx context.Context, name string) (Battery, error) {
	var battery Battery
	err := b.look(ctx, "read battery", func(tx *sql.Tx) (err error) {
		battery, err = batteryNamed(ctx, tx, name)
		return err
	})
	return battery, err
}

// Batteries returns all batteries by name, retired ones too.
func (b *Book) Batteries(ctx context.Context) ([]Battery, error) {
	var all []Battery
	err := b.look(ctx, "list batteries", func(tx *sql.Tx) (err error) {
		all, err = allBatteries(ctx, tx)
		return err
	})
	return all, err
}

func allBatteries(ctx context.Context, db querier) ([]Battery, error) {
	return collect(ctx, db, scanBattery, "SELECT "+batteryColumns+" FROM battery ORDER BY name")
}

func batteryNamed(ctx context.Context, db querier, name string) (Battery, error) {
	battery, err := scanBattery(db.QueryRowContext(ctx, "SELECT "+batteryColumns+" FROM battery WHERE name = ?", name))
	if errors.Is(err, sql.ErrNoRows) {
		return battery, fmt.Errorf("battery %q %w", name, ErrNotFound)
	}
	return battery, err
}

// insertBattery reports false, and changes nothing, if the name is taken.
func insertBattery(ctx context.Context, tx *sql.Tx, b Battery) (added bool, err error) {
	return inserted(tx.ExecContext(ctx, "INSERT INTO battery ("+batteryColumns+
		") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
		b.Name, b.Chemistry, b.Cells, b.CapacityAh, b.CapacityHours, b.ReserveMinutes,
		b.Bought, b.Where, b.Note, milliseconds(b.Retired)))
}

func scanBattery(row scanner) (Battery, error) {
	var b Battery
	var retired *int64
	err := row.Scan(&b.Name, &b.Chemistry, &b.Cells, &b.CapacityAh, &b.CapacityHours, &b.ReserveMinutes,
		&b.Bought, &b.Where, &b.Note, &retired)
	if retired != nil {
		b.Retired = new(time.UnixMilli(*retired).UTC())
	}
	return b, err
}
