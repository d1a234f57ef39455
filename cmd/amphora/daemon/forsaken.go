package daemon

import (
	"os"
	"path/filepath"
	"slices"

	"amphora/dashboards/push"
	"amphora/dashboards/push/spool"
)

// forsaken tells of points that wait for a store which the configuration no longer names,
// where somebody corrected its address perhaps: nobody will send them.
func (d *Daemon) forsaken() {
	folders, err := os.ReadDir(pushDir(d.cfg.Data))
	if err != nil {
		return // nothing was ever pushed
	}
	for _, f := range folders {
		if slices.ContainsFunc(d.cfg.Push, func(t push.Target) bool { return t.Folder() == f.Name() }) {
			continue
		}
		dir := filepath.Join(pushDir(d.cfg.Data), f.Name())
		if n := spool.Waiting(dir); n > 0 {
			d.cfg.Log.Warn("points wait for a store that is no longer configured: configure it again, or delete their folder; `amphora report SESSION --line-protocol` has each charge for another store",
				"points", n, "folder", dir)
		}
	}
}
