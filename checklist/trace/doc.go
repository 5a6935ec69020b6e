// Package trace finds the path by which a boiler under test loses water, by the
// test that tells most for its minutes.
//
// A [Circuit] says, as data, by which paths water is lost, where it shows and what
// each test tells. A [Model] is the circuit for one boiler and one arrangement of the
// test. A [Search] is what the answers so far make of it: the suspects, the next test
// and why, and whether the search is at its end.
//
// Everything is a plain function of its arguments: no clock, no files, no chance.
// The order of the answers does not matter, and an answer that cannot count is set
// aside with its reason, never refused: it may come from somebody else's device.
//
// It is for water only, never air, and never above the figures of the local code. A
// fault of the structure ends the search; the boiler inspector decides.
//
// # Decisions
//
//   - Causes are every path alone and every two at once. Where two lose, a look at a
//     place has its chance from both; so a look never excludes a second cause.
//   - At every place water shows from one of three moments on, or never: within ten
//     minutes at working pressure, at test pressure, after half an hour. The looks at
//     one place are judged together. So a second look at a dry place is no new
//     evidence, and looks at two pressures are not counted as two witnesses.
//   - Tests at different places are taken as independent once the cause is known. They
//     are not quite; the simulation beside this package, where they are not, says what
//     that costs.
//   - The next test is the one with the most bits a minute, where two bits are added
//     for the chance that it ends the search. Bits alone take cheap crumbs and leave
//     small circuits a sixth above the best plan (measured).
//   - A path may be named while the structure is not quite ruled out; the conclusion
//     says so. To name nothing before that halves what is taken for something else
//     while it is the structure (3 to 2 engines in 1000, simulated), but the order of
//     tests is then a fifth above the best plan, twice it at worst.
//   - On answers that do not go together nothing is named: one of them is to be looked
//     at again first.
//   - A repair with its test ("does it hold now?") is a test like others.
//   - Another arrangement of the test is another question: answers under it are set
//     aside, since other paths have pressure on them.
package trace
