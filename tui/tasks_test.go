package tui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/recipes"
)

// keyCount presses keys as a bench does and counts them.
type keyCount struct {
	*bench
	pressed int
}

func (c *keyCount) keys(names ...string) {
	c.t.Helper()
	for _, name := range names {
		if len(name) > 1 && name[0] == ':' {
			c.pressed += len([]rune(name[1:]))
		} else {
			c.pressed++
		}
		c.bench.keys(name)
	}
}

// Tasks that everybody has, done as the screen itself suggests, by the large
// button and the keys written on the buttons. The least is what has to be said
// whatever the program: one key to choose what is wanted and one to confirm it,
// and the letters of an answer that cannot be guessed. None may take more than
// twice the least.
func TestTasksTakeFewKeys(t *testing.T) {
	for _, c := range []struct {
		task  string
		least int
		begin func(t *testing.T) *bench
		do    func(c *keyCount)
		done  func(t *testing.T, b *bench)
	}{
		{"start a job with what is proposed", 3 + len("Bramble"), // the procedure, the name and its end, the start
			func(t *testing.T) *bench {
				b := newBench(t, 80, 24, func(o *Options) { o.Recipes = recipes.FS() })
				b.keys("w", ":Ana", "enter")
				return b
			},
			func(c *keyCount) {
				c.keys("enter")                      // the procedure the keys are on
				c.keys("enter", ":Bramble", "enter") // the engine, which nobody can guess
				c.keys("s")
			},
			func(t *testing.T, b *bench) { b.sees("BEFORE YOU START") }},
		{"enter a reading", 2 + len("4.76"), // open it, keep it
			func(t *testing.T) *bench {
				b := started(t, 80, 24)
				b.keys("enter")
				done(b)
				onwards(b, "Release")
				b.keys(":Tom", "enter")
				done(b)
				return b
			},
			func(c *keyCount) { c.keys("r", ":4.76", "enter") },
			func(t *testing.T, b *bench) { require.Equal(t, "4.76", readings(b)) }},
		{"look up 2 BA and come back", 2 + len("2ba"),
			func(t *testing.T) *bench { b := started(t, 80, 24); b.keys("enter"); return b },
			func(c *keyCount) {
				c.keys("t", ":2ba")
				c.sees("TAPPING DRILL", "72 %", "Spanner")
				c.keys("esc")
			},
			func(t *testing.T, b *bench) { _, ok := b.m.top().(*stepScreen); require.True(t, ok) }},
		{"the same on a phone", 2 + len("2ba"),
			func(t *testing.T) *bench { b := started(t, 40, 20); b.keys("enter"); return b },
			func(c *keyCount) {
				c.keys("t", ":2ba")
				c.sees("TAPPING DRILL")
				c.keys("esc")
			},
			func(t *testing.T, b *bench) { _, ok := b.m.top().(*stepScreen); require.True(t, ok) }},
		{"write a note", 2 + len("waisted"),
			func(t *testing.T) *bench { b := started(t, 80, 24); b.keys("enter"); return b },
			func(c *keyCount) { c.keys("n", ":waisted", "enter") },
			func(t *testing.T, b *bench) { b.sees("note: waisted") }},
		{"report a damaged hole", 4 + len("3.65") + 1, // finding, kind, which screw, the width and its end, a word for it
			func(t *testing.T) *bench { return refit(t, 80, 24, "holes") },
			func(c *keyCount) { c.keys("d", "enter", "down", "down", "enter", ":3.65", "enter", "enter", "enter") }, // the room for a head is left open
			func(t *testing.T, b *bench) {
				require.Len(t, b.m.work.state.Findings, 1)
				require.Equal(t, 3, b.m.work.state.Findings[0].Number)
			}},
		{"open the list for the next visit", 1,
			func(t *testing.T) *bench { return refit(t, 80, 24, "holes") },
			func(c *keyCount) { c.keys("p") },
			func(t *testing.T, b *bench) { b.sees("To bring next time") }},
		{"print the list for the next visit", 2, // the list, and to paper with it
			func(t *testing.T) *bench { return refit(t, 80, 24, "holes") },
			func(c *keyCount) { c.keys("p", "p", "enter") }, // the file is named before it is written
			func(t *testing.T, b *bench) { b.sees("Written", "to-bring.html") }},
	} {
		t.Run(c.task, func(t *testing.T) {
			b := &keyCount{bench: c.begin(t)}
			c.do(b)
			c.done(t, b.bench)
			require.LessOrEqual(t, b.pressed, 2*c.least, "keys pressed, of %d at least", c.least)
			t.Logf("%d keys, %d at least", b.pressed, c.least)
		})
	}
}

// readings is the value of the first reading of the step shown.
func readings(b *bench) string {
	for _, s := range b.m.stack {
		if step, ok := s.(*stepScreen); ok {
			now, st := step.step()
			return counting(st.Readings[now.Readings[0].Name]).Value
		}
	}
	return ""
}

// tapCount taps as a finger does, on places as they are drawn, and counts.
type tapCount struct {
	*bench
	tapped int
}

func (c *tapCount) tap(names ...string) {
	c.t.Helper()
	c.tapped += len(names)
	c.bench.tap(names...)
}

// letters spells a name on the drawn letters.
func (c *tapCount) letters(name string) {
	c.t.Helper()
	for _, r := range name {
		if _, ok := c.place(string(r)); !ok { // a rare one
			c.tap("Other")
		}
		c.tap(string(r))
	}
}

// The same by taps alone on a telephone. The least counts one tap for each thing
// that is chosen, each letter and each figure, and one to say that it is all.
func TestTasksTakeFewTaps(t *testing.T) {
	touch := func(b *bench) *bench {
		b.m.touch = true
		b.m.settle()
		return b
	}
	for _, c := range []struct {
		task  string
		least int
		begin func(t *testing.T) *bench
		do    func(c *tapCount)
		done  func(t *testing.T, b *bench)
	}{
		{"start a job with what is proposed", 3 + len("Bramble"),
			func(t *testing.T) *bench {
				b := newBench(t, 40, 20, func(o *Options) { o.Recipes = recipes.FS() })
				b.keys("w", ":Ana", "enter")
				return touch(b)
			},
			func(c *tapCount) {
				c.tap("gland.toml", "engine")
				c.letters("Bramble")
				c.tap("Keep", "Start")
			},
			func(t *testing.T, b *bench) { b.sees("BEFORE YOU START") }},
		{"enter a reading", 2 + len("4.76"),
			func(t *testing.T) *bench {
				b := started(t, 40, 20)
				b.keys("enter")
				done(b)
				onwards(b, "Release")
				b.keys(":Tom", "enter")
				done(b)
				b.keys("end", "end") // the step has been read
				return touch(b)
			},
			func(c *tapCount) { c.tap("Reading", "4", ".", "7", "6", "Keep") },
			func(t *testing.T, b *bench) { require.Equal(t, "4.76", readings(b)) }},
		{"look up 2 BA and come back", 4, // the look-up, the family, the size, back
			func(t *testing.T) *bench { b := started(t, 40, 20); b.keys("enter"); return touch(b) },
			func(c *tapCount) {
				c.tap("Thread", "BA", "2 BA")
				c.sees("2 BA", "TAPPING DRILL", "72 %")
				c.tap("Close")
			},
			func(t *testing.T, b *bench) { _, ok := b.m.top().(*stepScreen); require.True(t, ok) }},
		{"report a damaged hole", 4 + len("3.65") + 1,
			func(t *testing.T) *bench { return touch(refit(t, 40, 20, "holes")) },
			func(c *tapCount) {
				c.tap("More", "Finding", "Damaged hole", "3", "3", ".", "6", "5", "Next", "Next", "Thread pulled out")
			},
			func(t *testing.T, b *bench) {
				require.Len(t, b.m.work.state.Findings, 1)
				require.Equal(t, 3, b.m.work.state.Findings[0].Number)
			}},
		{"print the list for the next visit", 2,
			func(t *testing.T) *bench { return touch(refit(t, 40, 20, "holes")) },
			func(c *tapCount) { c.tap("More", "Bring", "Print", "Write it") },
			func(t *testing.T, b *bench) { b.sees("Written", "to-bring.html") }},
	} {
		t.Run(c.task, func(t *testing.T) {
			b := &tapCount{bench: c.begin(t)}
			c.do(b)
			c.done(t, b.bench)
			require.LessOrEqual(t, b.tapped, 2*c.least, "taps, of %d at least", c.least)
			t.Logf("%d taps, %d at least", b.tapped, c.least)
		})
	}
}
