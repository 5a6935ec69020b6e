package job

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const (
	memJob   = "/stick/club/job"
	memState = "/home/ana/.local/state/fettle"
	memName  = "job-testtesttest"
)

// slow says that the long loops are wanted.
func slow() bool { return os.Getenv("FETTLE_SLOW") != "" }

// fixedClock is a clock that stands still.
func fixedClock() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) }

// process is a start of the program on a disk in memory.
func process(m *memory) (*writer, error) {
	m.created = false
	dev := &device{files: m, dir: memState}
	w := newWriter(m, fixedClock, dev, newLogs(m, memJob, dev.twin(memName)))
	_, err := w.logs.refresh()
	return w, err
}

// promise is an entry that a person was told is kept.
type promise struct {
	text  string
	where Where
}

// work saves n notes and returns what was promised.
func work(w *writer, first, n int) []promise {
	var kept []promise
	for i := first; i < first+n; i++ {
		text := fmt.Sprintf("note %d", i)
		saved, err := w.save(func(bool) (Entry, error) {
			if w.files.(*memory).mutant == noHeal {
				// Between the look at the folder and the writes: nothing seems to
				// be missing, so nothing is added but the new line.
				for _, rec := range w.logs.all {
					rec.inFolder = true
				}
				clear(w.doubted)
			}
			return Entry{Kind: KindNote, By: "Ana", Step: "strip", Text: text}, nil
		}, func() error { return nil })
		if err == nil {
			kept = append(kept, promise{text, saved.Where})
		}
	}
	return kept
}

// texts reads every note in a folder, or in one file.
func texts(t *testing.T, m *memory, dir, twin string) map[string]bool {
	l := newLogs(m, dir, twin)
	_, err := l.refresh()
	require.NoError(t, err)
	found := map[string]bool{}
	for _, rec := range l.all {
		found[rec.Text] = true
	}
	return found
}

// losses counts the promises that a disk does not keep. An entry that was
// "saved" must be in the folder and in the twin, each by itself; and after one
// more save the folder must hold whatever was promised.
func losses(t *testing.T, m *memory, kept []promise) int {
	inFolder := texts(t, m, memJob, "")
	inTwin := texts(t, m, "/home", memState+"/twins/"+memName+".jsonl")
	n := 0
	for _, p := range kept {
		if p.where != DeviceOnly && !inFolder[p.text] || p.where != FolderOnly && !inTwin[p.text] {
			n++
		}
	}
	w, err := process(m)
	require.NoError(t, err)
	if more := work(w, 900, 1); len(more) != 1 || more[0].where != Everywhere {
		return n + 1
	}
	inFolder = texts(t, m, memJob, "")
	for _, p := range append(kept, promise{"note 900", Everywhere}) {
		if !inFolder[p.text] {
			n++
		}
	}
	return n
}

// rests are the ways in which the caches end up that are tried at every power cut.
func rests(m *memory) []rest {
	var list []rest
	for _, data := range []dataRest{gone, whole, half, zeros} {
		for names := range min(len(m.pending()), 3) + 2 {
			list = append(list, rest{data, names})
		}
	}
	return list
}

// powerCuts runs two processes, with a fault at one call and a power cut at a
// later one, for every pair of calls, and looks at every disk that could be
// left. It returns how many disks it saw and how many had lost a promise; it
// stops at the first of those where a rule is taken out.
func powerCuts(t *testing.T, how mutant) (disks, bad int) {
	const notes = 2
	run := func(faultAt int, kind fault, cutAt int) (m *memory, kept []promise) {
		m = newMemory("/stick/club/job", "/home/ana")
		m.mutant = how
		m.trap = func(call int, what, _ string) fault {
			switch {
			case call == cutAt:
				return powerCut
			case call == faultAt && (kind != diskFull || what == "write"):
				return kind
			}
			return noFault
		}
		for p := range 2 {
			w, err := process(m)
			if err != nil {
				break
			}
			kept = append(kept, work(w, p*10, notes)...)
		}
		return m, kept
	}
	whole, kept := run(0, noFault, 0)
	require.Len(t, kept, 2*notes)
	step := 3 // every third call fails; all of them in the slow run
	if slow() || how != faithful {
		step = 1
	}
	for _, kind := range []fault{noFault, failed, diskFull} {
		for faultAt := 0; faultAt <= whole.calls; faultAt += step {
			if (kind == noFault) != (faultAt == 0) {
				continue
			}
			for cutAt := faultAt + 1; ; cutAt++ {
				m, kept := run(faultAt, kind, cutAt)
				for _, r := range rests(m) {
					after := m.after(r)
					after.mutant = how
					disks++
					if losses(t, after, kept) > 0 {
						if bad++; how != faithful {
							return disks, bad
						}
					}
				}
				if !m.dead {
					break
				}
			}
		}
	}
	return disks, bad
}

// kills stops a process at every call without a power cut, lets another go on
// in the same uptime, and cuts the power at every call of that one.
func kills(t *testing.T, how mutant) (disks, bad int) {
	for killAt := 1; ; killAt++ {
		survived := false
		for cutAt := 0; ; cutAt++ {
			m := newMemory("/stick/club/job", "/home/ana")
			m.mutant = how
			calls := 0
			m.trap = func(call int, _, _ string) fault {
				if call == killAt {
					return powerCut
				}
				return noFault
			}
			w, err := process(m)
			require.NoError(t, err)
			kept := work(w, 0, 2)
			survived = !m.dead
			m.dead = false
			m.trap = func(int, string, string) fault {
				calls++
				if calls == cutAt {
					return powerCut
				}
				return noFault
			}
			if w, err = process(m); err == nil {
				kept = append(kept, work(w, 10, 2)...)
			}
			for _, r := range rests(m) {
				after := m.after(r)
				after.mutant = how
				disks++
				if losses(t, after, kept) > 0 {
					if bad++; how != faithful {
						return disks, bad
					}
				}
			}
			if cutAt > calls {
				break
			}
		}
		if survived {
			return disks, bad
		}
	}
}

// tornBytes cuts the power inside every write, at every byte.
func tornBytes(t *testing.T, how mutant) (disks, bad int) {
	for cutAt := 1; ; cutAt++ {
		for kept := 0; ; kept++ {
			m := newMemory("/stick/club/job", "/home/ana")
			m.mutant = how
			m.kept = kept
			write := false
			m.trap = func(call int, what, _ string) fault {
				if call == cutAt {
					write = what == "write"
					return powerCut
				}
				return noFault
			}
			w, err := process(m)
			require.NoError(t, err)
			promised := work(w, 0, 3)
			if !m.dead {
				return disks, bad
			}
			for _, r := range []rest{{whole, 0}, {whole, 1}, {zeros, 1}} {
				after := m.after(r)
				after.mutant = how
				disks++
				if losses(t, after, promised) > 0 {
					if bad++; how != faithful {
						return disks, bad
					}
				}
			}
			if !write || kept > 300 {
				break
			}
		}
	}
}

func TestPowerCutsLoseNothing(t *testing.T) {
	total := 0
	for name, layer := range map[string]func(*testing.T, mutant) (int, int){"power cuts": powerCuts, "kills": kills, "torn bytes": tornBytes} {
		disks, bad := layer(t, faithful)
		require.Zero(t, bad, "%s: of %d disks", name, disks)
		total += disks
		t.Logf("%s: %d disks", name, disks)
	}
	require.Greater(t, total, 5000)
}

// Taking one rule out must be seen, or the layer above proves nothing. The
// rules are taken out by what the file system does, the heal by what the
// program is made to believe of the folder.
func TestFaultLayerSeesARuleTakenOut(t *testing.T) {
	_, bad := powerCuts(t, noFolderSync)
	require.NotZero(t, bad, "folders are never synced")
	_, bad = kills(t, folderSyncAtNew)
	require.NotZero(t, bad, "folders are synced only where the file was new")
	_, bad = powerCuts(t, retrySync)
	require.NotZero(t, bad, "a failed sync is tried again on the same handle")
	_, bad = powerCuts(t, noHeal)
	require.NotZero(t, bad, "what the folder lacks is not added")
	_, bad = tornBytes(t, noBeginningAnew)
	require.NotZero(t, bad, "no new line is begun after a torn one")
}

// A sync tool that puts another file in the place of the log while it is being
// written must be noticed.
func TestReplacedWhileSaving(t *testing.T) {
	run := func(how mutant) (map[string]bool, []promise) {
		m := newMemory("/stick/club/job", "/home/ana")
		m.mutant = how
		w, err := process(m)
		require.NoError(t, err)
		kept := work(w, 0, 2)
		replaced := false
		m.trap = func(_ int, what, name string) fault {
			if what == "sync" && strings.HasPrefix(name, memJob) && !replaced {
				replaced = true
				old := *m.nodes[name]
				old.data, old.state = old.data[:len(old.data)/4], old.state[:len(old.data)/4]
				m.nodes[name], m.onDisk[name] = &old, &old
			}
			return noFault
		}
		kept = append(kept, work(w, 2, 1)...)
		require.True(t, replaced)
		return texts(t, m, memJob, ""), kept
	}
	found, kept := run(faithful)
	for _, p := range kept {
		require.Equal(t, Everywhere, p.where)
		require.True(t, found[p.text], p.text)
	}
	found, kept = run(trustAfterRename)
	missing := 0
	for _, p := range kept {
		if p.where == Everywhere && !found[p.text] {
			missing++
		}
	}
	require.NotZero(t, missing, "the layer sees that the check is gone")
}
