package tui

import (
	"fmt"
	"time"

	"fettle/checklist/job"
)

// wall is the clock that times are shown by: that of the workshop whose job is open.
func (m *model) wall() job.Wall {
	if m.work != nil && m.work.job != nil {
		return m.work.job.Wall()
	}
	return job.Here(m.opt.Env.Now().Location())
}

// now is what that clock shows.
func (m *model) now() time.Time { return m.wall().In(m.opt.Env.Now()) }

// when writes a time the way people say it.
func (m *model) when(t time.Time) string {
	if t.IsZero() {
		return "at an unknown time"
	}
	return m.wall().Show(t, job.Week)
}

// left writes how long there is to wait.
func left(d time.Duration) string {
	d = max(0, d).Round(time.Minute)
	h, m := int(d.Hours()), int(d.Minutes())%60
	switch {
	case h >= 48:
		return fmt.Sprintf("%d days %d h", h/24, h%24)
	case h > 0 && m == 0:
		return fmt.Sprintf("%d h", h)
	case h > 0:
		return fmt.Sprintf("%d h %d min", h, m)
	}
	return fmt.Sprintf("%d min", m)
}
