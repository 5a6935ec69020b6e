package checklist

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// steps is a procedure with steps a, b, c ... that need what is given; "-" is
// no key, so that the step before comes first.
func steps(needs ...string) string {
	var b strings.Builder
	b.WriteString("format = 2\nid = \"x\"\ntitle = \"x\"\n[[stage]]\ntitle = \"x\"\n")
	for i, n := range needs {
		fmt.Fprintf(&b, "[[stage.step]]\nid = \"%c\"\nkind = \"record\"\ndo = \"x\"\n", 'a'+i)
		if n != "-" {
			fmt.Fprintf(&b, "after = [%s]\n", n)
		}
	}
	return b.String()
}

func TestCirclesOfNeeds(t *testing.T) {
	for _, c := range []struct {
		needs  []string
		circle string
	}{
		{[]string{"-", "-", "-"}, ""},
		{[]string{"", "", ""}, ""},
		{[]string{`"c"`, "", ""}, ""},
		{[]string{`"b"`, "-"}, "a comes after b comes after a"},
		{[]string{`"c"`, "-", "-"}, "a comes after c comes after b comes after a"},
		{[]string{"-", "-", `"z"`}, "no step"},
		{[]string{"-", `"d"`, "-", "-"}, "b comes after d comes after c comes after b"},
		{[]string{"-", `"d"`, "-", `"a"`}, ""},
		{[]string{"-", `"a", "c"`, `"a", "b"`}, "b comes after c comes after b"},
	} {
		_, ds := Read("x.toml", []byte(steps(c.needs...)))
		if c.circle == "" {
			require.Empty(t, ds, "%v", c.needs)
			continue
		}
		require.NotEmpty(t, ds, "%v", c.needs)
		require.Contains(t, ds[0].Message, c.circle)
		require.Positive(t, ds[0].Line)
	}
	var many []string
	for i := range 26 {
		many = append(many, fmt.Sprintf("\"%c\"", 'a'+(i+1)%26))
	}
	_, ds := Read("x.toml", []byte(steps(many...)))
	require.Len(t, ds, 1, "one circle is said once")
	require.Less(t, len(ds[0].Message), 200, "a long circle is cut short: %s", ds[0].Message)
}

// The rules about the order of work follow what steps need, not where they stand.
func TestOrderOfWork(t *testing.T) {
	const head = "format = 2\nid = \"x\"\ntitle = \"x\"\n[before]\nconditions = [\"Cold\"]\n" +
		"[fasteners.stud]\nthread = \"M4\"\n[seals.glue]\nkind = \"sealant\"\nmaterial = \"anaerobic\"\nzone = \"cold feed\"\npressure = \"20 psi\"\n" +
		"[seals.paste]\nkind = \"sealant\"\nmaterial = \"jointing paste\"\n[[stage]]\ntitle = \"x\"\n"
	step := func(id, kind, uses, more string) string {
		return fmt.Sprintf("[[stage.step]]\nid = %q\nkind = %q\ndo = \"x\"\nparts = [%s]\n%s", id, kind, uses, more)
	}
	dry := step("dry", "dry-fit", `"glue", "stud"`, "")
	seal := step("seal", "seal", `"glue", "stud"`, "")
	wait := step("wait", "wait", "", "wait = \"24 h\"\n")
	test := step("test", "test", "", "")
	for _, c := range []struct {
		name  string
		steps []string
		rules string
	}{
		{"as it should be", []string{dry, seal, wait, test}, ""},
		{"the wait on the sealing step itself", []string{dry, step("seal", "seal", `"glue"`, "wait = \"24 h\"\n"), test}, "unused-part"},
		{"no wait", []string{dry, seal, test}, "test-before-cure"},
		{"the wait beside the test", []string{dry, seal, wait, step("test", "test", "", "after = [\"seal\"]\n"), step("end", "record", "", "after = [\"wait\", \"test\"]\n")}, "test-before-cure"},
		{"the wait before the sealing", []string{dry, wait, seal, test}, "test-before-cure"},
		{"a paste needs no cure", []string{step("dry", "dry-fit", `"paste", "stud", "glue"`, ""), step("seal", "seal", `"paste"`, ""), test}, ""},
		{"sealed first", []string{seal, dry, wait, test}, "seal-before-dry-fit"},
		{"fitted dry, but not needed", []string{dry, step("seal", "seal", `"glue", "stud"`, "after = []\n"), step("wait", "wait", "", "wait = \"1 h\"\nafter = [\"dry\", \"seal\"]\n"), test}, "seal-before-dry-fit"},
		{"never fitted dry", []string{seal, wait, test}, "seal-without-dry-fit"},
		{"something else fitted dry", []string{step("dry", "dry-fit", `"stud"`, ""), seal, wait, test}, ""},
		{"tightened before the cure", []string{dry, seal, step("nip", "tighten", `"stud"`, ""), wait, test}, ""},
		{"tightened after the cure", []string{dry, seal, wait, step("nip", "tighten", `"stud"`, ""), test}, "tighten-cured"},
		{"another fastener after the cure", []string{dry, step("seal", "seal", `"glue"`, ""), wait, step("nip", "tighten", `"stud"`, ""), test}, ""},
		{"a wait at the very end", []string{dry, seal, wait}, "idle-wait"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := head + strings.Join(c.steps, "")
			p, ds := Read("x.toml", []byte(src))
			require.NotNil(t, p)
			var rules []string
			for _, d := range ds {
				if d.Rule != ruleUnusedPart {
					rules = append(rules, d.Rule)
				}
			}
			if c.rules == "" || c.rules == ruleUnusedPart {
				require.Empty(t, rules)
			} else {
				require.Equal(t, []string{c.rules}, rules)
			}
		})
	}
}
