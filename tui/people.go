package tui

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"fettle/checklist/job"
)

// aboutNow is how long after a person's last entry they are taken to be still
// at work on the job.
const aboutNow = 24 * time.Hour

// seen is a person with their last entry in the job's logs.
type seen struct {
	name string
	at   time.Time
	step int // its number
}

// others are the people who made an entry within a day of now, without the one
// at this device, the latest first. A clock that runs ahead counts as one that
// runs behind. Who released a hold only gave their word and does not count.
func (w *work) others(me string, now time.Time) []seen {
	last := map[string]seen{}
	for _, step := range w.steps {
		st := w.state.Steps[step.ID]
		see := func(marks ...job.Mark) {
			for _, m := range marks {
				if m.By != "" && !strings.EqualFold(m.By, me) && now.Sub(m.At).Abs() <= aboutNow && !m.At.Before(last[m.By].at) {
					last[m.By] = seen{m.By, m.At, step.Number}
				}
			}
		}
		see(st.Ticks...)
		see(st.Skips...)
		see(st.Undone...)
		for _, n := range st.Notes {
			see(n.Mark)
		}
		for _, values := range st.Readings {
			for _, v := range values {
				see(v.Mark)
			}
		}
	}
	list := make([]seen, 0, len(last))
	for _, s := range last {
		list = append(list, s)
	}
	slices.SortFunc(list, func(a, b seen) int { return cmp.Or(b.at.Compare(a.at), strings.Compare(a.name, b.name)) })
	return list
}

// people are the persons of the open job, whoever is working here first.
func (m *model) people() (all []string) {
	if m.person != "" {
		all = append(all, m.person)
	}
	if m.work != nil {
		all = append(all, m.names()...)
	}
	return all
}

// company is who works at this device and who else is on the job, for the head
// of the step.
func (s *stepScreen) company() string {
	if w := s.work(); s.withOf != w {
		s.with, s.withOf = w.others(s.m.person, s.m.opt.Env.Now()), w
	}
	names := make([]string, len(s.with))
	for i, o := range s.with {
		names[i] = o.name
	}
	switch {
	case len(names) == 0 || s.m.person == "":
		return s.m.person
	case len(names) > 2:
		names = append(names[:2], "others")
	}
	return s.m.person + ", with " + strings.Join(names, " and ")
}
