package tui

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
)

// The first bytes of the kinds of picture a record shows, after each format's
// own description; nothing more of them is ever read.
const (
	jpegStart = "\xff\xd8\xff\xe0 the rest does not matter"
	pngStart  = "\x89PNG\r\n\x1a\n the rest does not matter"
)

// picture puts a file down that was made so long ago.
func (b *bench) picture(name, data string, ago time.Duration) string {
	b.t.Helper()
	file := filepath.Join(b.dir, name)
	require.NoError(b.t, os.MkdirAll(filepath.Dir(file), 0o755))
	require.NoError(b.t, os.WriteFile(file, []byte(data), 0o600))
	require.NoError(b.t, os.Chtimes(file, b.now.Add(-ago), b.now.Add(-ago)))
	return file
}

// atWords is a bench at the last question of a finding, a leak of the whole step.
func atWords(t *testing.T, w, h int) *bench {
	t.Helper()
	b := refit(t, w, h, "dry")
	b.keys("d", "down", "down", "down", "down", "down", "enter", "down", "enter")
	b.sees("What was found?", "Leak")
	return b
}

func TestFiguresOfAFinding(t *testing.T) {
	b := atWords(t, 80, 24)
	b.keys("ctrl+g")
	b.sees("What was measured?", "Drops a minute")
	b.keys("enter")
	b.sees("Drops a minute: how much?")
	b.keys(":many")
	b.sees("a figure is wanted here")
	b.keys("enter")
	b.sees("how much?") // a word is no figure
	b.keys("ctrl+u", ":12", "enter")
	b.sees("12 of what?")
	b.keys("enter")
	b.sees("Pick an answer") // no unit is taken for granted
	b.keys("up", "enter")    // the last of them: none
	b.sees("What was found?", "Drops a minute: 12")
	b.keys("ctrl+g", ":hole", "enter")
	b.sees("cannot be called \"hole\"")
	b.keys("ctrl+u", ":Gap at the joint", "enter", ":0.3 mm", "enter") // the unit is there: it is not asked
	b.sees("What was found?", "Gap at the joint: 0.3 mm")
	b.keys("ctrl+g", ":Wrong one", "enter", ":-2", "enter", ":°C", "enter")
	b.sees("Wrong one: -2 °C")
	b.keys("ctrl+g", ":Wrong one", "enter")
	b.sees("-2 °C") // what was said before, to be put right or left out
	b.keys("backspace", "enter")
	b.lacks("Wrong one")
	b.keys("enter")
	b.sees("LEAK", "Weeps at the joint", "0.3 mm")
	require.Equal(t, map[string]string{"Drops a minute": "12", "Gap at the joint": "0.3 mm"}, b.m.work.state.Findings[0].Data)
}

func TestFiguresOfAFindingByTaps(t *testing.T) {
	b := atWords(t, 40, 20)
	b.m.touch = true
	b.m.settle()
	b.tap("More", "Figure", "Fall of pressure")
	b.sees("how much?")
	b.tap("1", ".", "5", "Units", "mm")
	b.tap("Next")
	b.tap("Drips")
	require.Equal(t, map[string]string{"Fall of pressure": "1.5 mm"}, b.m.work.state.Findings[0].Data)
}

func TestPhotosOfAFinding(t *testing.T) {
	b := atWords(t, 80, 24)
	b.m.shop.Photos = "~/drop"
	b.keys("ctrl+p")
	b.sees("Which picture?", "~/jobs/bramble are listed here")
	b.keys("esc")
	dropped := b.picture("drop/IMG_0007.JPG", jpegStart, time.Minute)
	b.picture("drop/notes.txt", "no picture", 0)
	b.picture("jobs/bramble/seen.png", pngStart, 3*time.Hour)
	b.picture("jobs/bramble/photos/old.jpeg", jpegStart, 72*time.Hour)
	b.picture("jobs/bramble/fake.jpg", "words", 4*24*time.Hour)
	b.keys("ctrl+p")
	b.sees("› IMG_0007.JPG", "just now, 1 kB, in ~/drop", "seen.png", "3 h ago", "old.jpeg", "3 days ago", "fake.jpg")
	b.lacks("notes.txt")
	b.golden("80x24-finding-photo")
	b.keys("enter")
	b.sees("What was found?", "Photo: IMG_0007.JPG")

	b.keys("ctrl+p", "down", "down", "enter")
	b.sees("Not taken: fake.jpg is no photo")
	b.keys("ctrl+u", ":nowhere.jpg", "enter")
	b.sees("Not taken: there is no photo")
	b.keys("ctrl+u", ":~/drop", "enter")
	b.sees("is a folder, not a file")
	large := b.picture("large.jpg", jpegStart, 0)
	require.NoError(t, os.Truncate(large, 20<<20+1))
	b.keys("ctrl+u", ":~/large.jpg", "enter")
	b.sees("too large: at most 20 MB")
	b.picture("a shot of it.png", pngStart+"2", 0)
	b.keys("ctrl+u", ":'"+filepath.Join(b.dir, "a shot of it.png")+"'", "enter")
	b.sees("What was found?", "Photo: a shot of it.png")

	b.keys("ctrl+p", ":~/drop/IMG_0007.JPG", "enter") // twice is once
	require.Len(t, b.m.top().(*entry).about, 3)
	b.keys("ctrl+p", "enter")
	b.sees("Photo: seen.png")
	b.keys("ctrl+p", "down", "down", "down", "down", "enter")
	b.lacks("seen.png") // taken, and left out again

	b.keys(":weeps", "enter")
	b.sees("LEAK", "img-0007-", "a-shot-of-it-")
	got := b.m.work.state.Findings[0].Photos
	require.Len(t, got, 2)
	for i, want := range []string{jpegStart, pngStart + "2"} {
		kept, err := os.ReadFile(filepath.Join(b.dir, "jobs", "bramble", "photos", got[i]))
		require.NoError(t, err)
		require.Equal(t, want, string(kept))
	}
	require.FileExists(t, dropped, "copied, not moved")
}

// A picture that goes while the words are written is named, and can be left out.
func TestAPhotoThatIsGone(t *testing.T) {
	b := atWords(t, 80, 24)
	file := b.picture("jobs/bramble/seen.png", pngStart, time.Hour)
	b.keys("ctrl+p", "enter")
	require.NoError(t, os.Remove(file))
	b.keys(":weeps", "enter")
	b.sees("Not saved: there is no photo", "seen.png", "weeps")
	require.Empty(t, b.m.work.state.Findings)
	b.keys("ctrl+p")
	b.sees("› Leave out seen.png")
	b.keys("enter", "enter")
	require.Len(t, b.m.work.state.Findings, 1)
	require.Empty(t, b.m.work.state.Findings[0].Photos)
}

// A picture can go with a remark on a step: "as found" wants showing.
func TestAPhotoGoesWithANote(t *testing.T) {
	b := started(t, 80, 24)
	home, err := filepath.Rel(b.dir, b.m.work.job.Dir())
	require.NoError(t, err)
	b.picture(filepath.Join(home, "port.png"), pngStart, time.Hour)
	b.keys("enter", "n", "ctrl+p")
	b.sees("Which picture?", "port.png")
	b.keys("enter")
	b.sees("Note on step 1", "Photo: port.png")
	b.keys(":as found", "enter")
	notes := b.m.work.state.Steps[b.m.work.steps[0].ID].Notes
	require.Len(t, notes, 1)
	require.Len(t, notes[0].Photos, 1)
	b.keys("end")
	b.sees("as found [photo port")
	require.FileExists(t, filepath.Join(b.dir, home, "photos", notes[0].Photos[0]))
}

// A picture that is a copy in the job already is not copied under another name.
func TestAPhotoIsCopiedOnce(t *testing.T) {
	b := atWords(t, 80, 24)
	b.picture("jobs/bramble/a view from the left hand side.png", pngStart, time.Hour)
	b.keys("ctrl+p", "enter", ":weeps", "enter")
	first := b.m.work.state.Findings[0].Photos
	require.NoError(t, os.Remove(filepath.Join(b.dir, "jobs", "bramble", "a view from the left hand side.png")))
	j := b.m.work.job
	_, err := j.Find(job.NewFinding{What: job.Leaking, Text: "again", Photos: []string{filepath.Join(j.Dir(), "photos", first[0])}})
	require.NoError(t, err)
	require.Equal(t, first, j.State().Findings[1].Photos)
	all, err := os.ReadDir(filepath.Join(j.Dir(), "photos"))
	require.NoError(t, err)
	require.Len(t, all, 1)
}

func TestPastedPaths(t *testing.T) {
	m := newModel(Options{Home: "/home/ana"})
	for text, want := range map[string]string{
		"~/a.jpg":                   "/home/ana/a.jpg",
		"'/tmp/a b.jpg'":            "/tmp/a b.jpg",
		`"/tmp/a b.jpg"`:            "/tmp/a b.jpg",
		`/tmp/a\ b.jpg `:            "/tmp/a b.jpg",
		"file:///tmp/a%20b.jpg":     "/tmp/a b.jpg",
		"~ana/a.jpg":                m.fromHome("./~ana/a.jpg"),
		"/tmp/100%.jpg":             "/tmp/100%.jpg",
		"/tmp/it's.jpg":             "/tmp/it's.jpg",
		"file:///tmp/%zz broken.jp": m.fromHome("file:///tmp/%zz broken.jp"),
	} {
		require.Equal(t, want, m.typedPath(text), text)
	}
}
