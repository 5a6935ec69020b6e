package tui

import (
	"fmt"
	"time"
)

// when writes a time the way people say it, by the clock of this device.
func (m *model) when(t time.Time) string {
	if t.IsZero() {
		return "at an unknown time"
	}
	return t.In(m.opt.Env.Now().Location()).Format("Mon 2 Jan 15:04")
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
