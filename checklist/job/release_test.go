package job

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// An owner who is the fitter as well says so, and the record shows it.
func TestWhoReleasesAHold(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	for _, name := range []string{"", "A", "A.", "-1"} {
		_, err := j.ReleaseMyself("cold", name)
		require.ErrorContains(t, err, "who releases the hold", name)
	}
	var self *SelfReleaseError
	for _, name := range []string{"Ana", " ANA "} {
		_, err := j.Release("cold", name)
		require.ErrorAs(t, err, &self, name)
	}
	require.Equal(t, SelfReleaseError{"cold", "ANA", "owner"}, *self)

	// Ana has worked on the job; another name at the bench hides nothing.
	ben := b.open(b.device("Ben"))
	_, err := ben.Release("cold", "Ana")
	require.ErrorAs(t, err, &self)

	must(j.Read("cold", "zero", "yes"))
	s, err := j.ReleaseMyself("cold", "Ana")
	saved(t, s, err)
	require.True(t, j.State().Steps["cold"].Releases[0].Self)
	log := j.Log()
	require.Equal(t, "hold released: cold - by one who does the work as well", log[len(log)-1].Says)
	var text strings.Builder
	require.NoError(t, j.Record().WriteMarkdown(&text))
	require.Contains(t, strings.Join(strings.Fields(text.String()), " "), "who does the work as well")

	_, err = j.Undo()
	require.NoError(t, err)
	s, err = j.ReleaseMyself("cold", "Olga")
	saved(t, s, err)
	require.False(t, j.State().Steps["cold"].Releases[0].Self, "Olga does no work here")
}

// At an inspector's hold nobody who works can say so.
func TestAnInspectorIsNeverTheFitter(t *testing.T) {
	b := newBench(t)
	j := b.start()
	_, err := j.ReleaseMyself("slacken", "Ana")
	require.ErrorContains(t, err, "the inspector releases this hold")
	ben := b.open(b.device("Ben"))
	_, err = ben.ReleaseMyself("slacken", "ana")
	require.ErrorContains(t, err, "the inspector releases this hold")
	nobody := b.device("")
	_, err = b.open(nobody).Release("slacken", "Ana")
	require.ErrorIs(t, err, ErrNobody)
}

// A cure begins with what is sealed. Letting its needs pass would end it before
// it began.
func TestACureIsNotPassedBy(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must := func(s Saved, err error) { saved(t, s, err) }
	must(j.Read("cold", "zero", "yes"))
	must(j.Release("cold", "Olga"))
	must(j.Tick("cold"))
	must(j.Tick("off"))
	must(j.Read("holes", "bad", "0"))
	must(j.Tick("holes"))
	must(j.Tick("cut"))
	must(j.Read("dry", "rock", "0.02"))
	must(j.Tick("dry"))
	_, err := j.Pass("cured", GateNeeds, "Olga", "in a hurry")
	require.ErrorContains(t, err, "no reason passes it")
}

// A release is a word about what the steps before it showed: it is not given
// before they are done.
func TestNoHoldIsReleasedBeforeWhatItRestsOn(t *testing.T) {
	b := newBench(t)
	j := b.start()
	_, err := j.Release("slacken", "Ruth")
	require.ErrorContains(t, err, "first do")
	require.ErrorContains(t, err, "the release is a word about it")
	require.Empty(t, j.State().Steps["slacken"].Releases)
}
