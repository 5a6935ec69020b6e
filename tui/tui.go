// Package tui is the bench screen.
//
// One model (app.go) receives every message and holds a stack of screens,
// which are plain values: home, form, step, look-up, entry. A screen says what
// can be done on it (its acts) and draws itself; keys, buttons and help all
// come from the acts. After every message the model settles one picture
// (frame.go): layout (layout.go) divides the screen, the canvas (canvas.go)
// keeps it to size, and the places that can be pressed are noted while they
// are drawn, so that drawing and tapping cannot disagree.
//
// Update never touches the disk. Reading and saving are commands run by the
// keeper (work.go), one after the other; "Saved" is shown only when the job
// package has said so.
//
// # Decisions
//
//   - The list of procedures is a glance. Reading all bundled procedures took 23
//     ms of processor and 6 MB; the first page now decodes only what stands before
//     the first table, and reads all of a file when it is chosen. A person's own
//     files are still read whole, so that the list can say which have mistakes. On
//     two busy cores, medians: least program of the library 20.2 ms to its first
//     picture (3.3 ms of processor), fettle 21.1 ms (5.5), list of procedures 21.1
//     ms (before: 61); 1.04 of the least program, the aim is 1.3. Resident at
//     rest: 10.2 MB (before: 16.7), the least program 4.9 (BenchmarkFirstFrame,
//     BenchmarkAtRest in tui).
//   - A re-check on save. 500 steps took 15.5 ms at best on two cores with a load
//     of seven, more than half of it the TOML parser; a frame at 60 Hz is 16.7 ms.
//     It runs beside the screen in any case, never in Update.
//   - A key press to its frame. 500 steps and 10,000 entries at 160 by 45: 0.27 ms
//     of processor (0.47 ms by the clock on two busy cores), 274 kB in 1,013
//     allocations; with 100 entries 0.25 ms, 258 kB, 647 (BenchmarkKeyToFrame; the
//     aim is 1 ms). Sections to scale are kept until something changes: drawing
//     one takes longer than the rest of the frame.
//   - What a key costs on a line. Bytes at 80 by 24 and 160 by 45, in the refit of
//     the dome cover (BenchmarkBytesPerKey): a letter in a note 84 and 105, a
//     choice further down 226 and 247, the list one down 129 and 150, the next
//     step 1,785 and 8,316, a whole other screen 2,900 and 12,000, nothing while
//     nothing happens. At 10 kB/s a letter takes 10 ms, the next step 0.2 and 0.8
//     s. The library sends the lines that differ, whole; pens that a blank does
//     not show are no longer changed for it, which took a tenth off (demo at 160
//     by 45: 9,357 to 8,332).
//   - What a preview shows. A file that has steps is shown even with stops in it,
//     what is not known in brackets, because its author wants to see the change; a
//     file without a readable step leaves the version before on the screen. It is
//     looked at twice a second by time and size, and read anyway while it is
//     younger than two seconds: a second save may leave both as they were.
//   - Where jobs live. The screen keeps jobs in the folder of --jobs, else of
//     FETTLE_JOBS, else in jobs in the folder it was started in, and says so on
//     its first page: a place one can see, copy and sync. Without either it lists
//     jobs lying directly in the folder it was started in as well, since fettle
//     job start --job NAME puts them there.
//   - Paper goes into the job's folder unless another place is typed, is named
//     before it is written and said after. Only names that end in .html or .md are
//     taken on the screen, and none that a file of a job or a procedure bears
//     anywhere, since a record written over a log would be the end of it.
//   - A gauge's unit is a page of its own where a figure stands alone: the unit of
//     the last reading stands first there and takes one key, but no answer is
//     picked before a reading stands. Each question of a reading is judged on its
//     page.
//   - One picture per message. Update settles the next picture and the places that
//     can be pressed in it; View only hands it out. What is tapped is therefore
//     what was drawn. Everything is drawn on a grid of cells, so that size,
//     escapes and ASCII spelling have one guard.
//   - Nothing unseen is ticked. Until warnings, cautions and the instruction of a
//     step have been on the screen to their end, the large button reads on. A
//     second press within 300 ms of a step that changed by itself is the tail of
//     the first.
//   - No braille patterns. They draw finest, but common fonts lack them; sections
//     are drawn from quarter blocks and left out on ASCII terminals.
//   - A ring of screws shows the screws' own numbers. With the turns of the order
//     drawn at the places, "screw 7" in the text stood beside another place's 7.
//     The order is a line below; which are tight is counted by hand (+, -, or the
//     buttons), lives as long as the screen and is no entry: the step is ticked
//     when the pass is done.
//   - What is seen first. Warnings, then the instruction: its title is plain, the
//     list of steps quiet but for the step shown, and from 26 rows on every second
//     line of it is free where all of the step has room. Figures that it names
//     stand beside it in large digits, all of them or none; the next screw stands
//     large in its ring. Sections are hatched, not filled: a block of metal was
//     the brightest thing on the screen. High contrast keeps bold for the
//     instruction, the figures and the words of danger.
//   - Shut buttons have no sides. Dashed ones looked torn beside whole ones. Where
//     a word is wider than a button's inside, the word stays and the sides go.
//     Nothing is cut that a wrap or a wording can mend (walk_test.go looks at
//     every screen and question); what was said at the foot is shown whole by f9.
//   - Letters for one finger. At 40 by 20 there is room for 20 keys of 3 by 8: 16
//     letters, space, rub out, figures, the other letters. The 16 that stand most
//     often in the bundled texts (M before W and F, names want it) make up 91 of
//     100 letters, so a letter takes 1.1 taps; groups of three, as before, took 2.
//     Counted (TestSpellingTakesFewTaps): Tom 3 (was 6), Ruth 4 (8), Bramble 9
//     (14), a note of 42 letters 47 (84). From 80 by 24 on all letters are there
//     and a letter is one tap. Two whole pages would cost the same for rare
//     letters and more for frequent ones; smaller keys are missed with oily hands.
//     Rarest is best not spelled at all: names of the job, engines of the other
//     jobs, and what was answered to the same question before are offered beside
//     the letters, or before them where they are all there is to know.
//   - Family, then size. A question for a thread is an entry like any other
//     (thread), whose picker shows three threads used already, then twelve
//     families, which is what 40 by 20 holds in one page; R, Rc and Rp share one.
//     Sizes stand by diameter, BA by its numbers, each with its diameter over the
//     crests and its threads per inch or pitch, since these are what a calliper
//     and a gauge tell. The order of the families is common practice without a
//     source.
//   - As few columns as show everything. A list of short answers (tray.go) stays
//     one column as long as all of it is on the screen; then it takes the fewest
//     columns that hold all, and pages only where none do. The place that turns a
//     page is a tile of its own: a sign over the list would take the tap for what
//     lies under it. Ten answers or more are narrowed by typing.
//   - A pad has as many rows as its figures need. Space and minus share a key,
//     since a sign stands first and a space never does; units take the keys that
//     are left, and where there are more of them one key writes one after the
//     other or brings them all. TestEveryKindByTaps and TestEverySumByTaps answer
//     every kind and every question so.
//   - A finding's figures and pictures hang on its last question. They are two
//     more buttons there, so that a finding without them costs no key more. A
//     picture is looked at (size, first bytes) when it is picked and copied by the
//     code of the command when the finding is saved; the folders are listed and
//     read in commands, never in Update. A unit is asked for where the value names
//     none: none is taken for granted.
//   - Find goes by the beginnings of words, also of words that people use for a
//     thing (find_words.go), and passes over those that only ask. A thread among
//     other words opens the sum they name with the thread in it. Warnings and the
//     text of whole procedures are searched only where nothing else holds the
//     words.
//   - More holds what the bar does not. On 40 columns that is one page less to
//     turn. The five tasks take at most twice the least in taps as in keys
//     (tasks_test.go; the letters of a name are the most of it).
//   - A press that is too soon says so. What a press answers was noted before its
//     picture was laid out, so that a step which turned out to be wholly on the
//     screen counted as another question at the next message: a first press that
//     came too soon pushed the time on, to 1.5 s and more. It is noted after the
//     picture now, 700 ms hold, and the large button and the foot say "too soon".
//     The press that brought a step, or its last page, ticks it 1.5 s later at the
//     earliest, key or finger: four taps a second apart had ticked a step unread.
//   - Letters where answers are picked go to the answer that begins so, or do
//     nothing; the keys of other screens there are those that are no letters. y
//     and n answer yes and no by themselves, and one held on answers nothing else.
//   - The mark of a list stays in sight. Turning a page, a wheel or the sign for
//     more takes it along, since the large button acts on it.
//   - A pass is counted in words on its step as well. Less than all asks once
//     before the step is done; none counted is somebody who does not count here,
//     and what is said after it says so. While a step waits, the time left is its
//     one large figure.
//   - The first page comes first. A device that does not know who works on it
//     shows its jobs and the demo all the same; the first entry that needs a name
//     asks for it and then is made.
//   - Keys that arrive in one piece over a slow line are taken one by one, so that
//     "t2ba" looks up 2 BA however it was cut.
package tui

// quiet must come before bubbletea is initialised; see there.
import _ "fettle/tui/quiet"
