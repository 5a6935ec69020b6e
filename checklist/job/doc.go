// Package job keeps a refit under way: a folder holding a frozen copy of its
// procedure and one append-only log for every device that works on it.
//
// An entry is one line of JSON with its own check sum (line.go). Saving writes
// it twice, to the device's private copy and to the job's folder, and says
// "saved" only when both are on the disk (save.go). Reading takes the union of
// every log in the folder, copies made by sync tools included (read.go), and
// the state of the job is a fold over that union in any order of arrival
// (fold.go). Nothing that was written is ever changed, renamed or deleted.
//
// # Decisions
//
//   - A line has a decoder of its own. Opening a job of 100,000 entries took 1.5
//     to 1.6 × a bare decode and hash with encoding/json alone, the limit is 1.5;
//     quick.go reads the form we write and leaves all else to encoding/json, and a
//     fuzz test holds the two together. Now 0.9 ×.
//   - job.toml carries its own sum. TOML cut off between two lines still parses; a
//     settings table that went missing would change every figure without a word.
//   - Who is working. A device remembers one name, set on purpose (fettle job
//     person, the screen's name page) or by the first --by. A later --by counts
//     for its own command and changes nothing for others; a screen that is open
//     keeps the name it has. Commands say for whom they saved.
//   - Releasing one's own hold. An owner may be the fitter: that is said
//     (--myself), and log, status and record show it. An inspector's hold is never
//     released by anybody who works on the job, and no hold is skipped.
//   - Outside limits. What warn says lets the step be ticked: the tick keeps what
//     lay outside, and every summary counts it until a reading within limits takes
//     its place. What ask says wants a name and a reason, for the very reading.
//   - Who else is on the job is whoever made an entry within a day, as the logs
//     tell it; there is no other sign of life between devices. Who released a hold
//     only gave their word and is not counted.
//   - A look changes nothing. job status, log, needs and record write no file: a
//     job can be looked at on a locked stick and in somebody else's copy. They say
//     what verify would: what is on this device only, numbers left out in a
//     device's count, lines that are unfinished, unreadable or changed. What is
//     only to be seen line by line (a line put back, an entry that follows another
//     than the one here) is verify's alone. Making good is for the next entry, for
//     verify, and for the screen, which is there to work with.
//   - Probable threads and dates of containers ask. A thread written 2 BA? was
//     measured and not tried; a sealant's use_by is looked at when the step is
//     done, not when it was read. Either shuts a gate that a named person may
//     pass, for that thread or that day only.
//   - A folder that is gone is told so only where this device has saved something
//     in it: device.jsonl keeps the places. Any other name was mistyped.
//   - Who works at an inspector's hold is counted over the calling job and all
//     jobs inside it. **What lies beside a pressure test** (beside.go): jobs on
//     the same engine in the same folder that wait, hold something in an opening,
//     a blank or an open finding keep the holds before the test shut, its
//     beginning and its pass. What of them cannot be read is said, and blocks
//     nothing.
//   - One road for one hole. A damaged hole is saved by the decision about its
//     finding or by a job of its own; step, called procedure and finding
//     (OtherRoad) say so. The called procedure takes no cure and no thread for
//     granted: both stay open until the hole is measured.
//   - A figure is added to a finding, not the finding made again. It is an entry
//     about it (figure); the advice, and the steps of a decision that stands, are
//     worked out again with it, and an undo takes it away.
//   - One record for whoever signs. Holds, witness points, passed gates and
//     readings outside limits of called jobs stand in the record of the calling
//     one, with the title of their job; what lies within limits stays in their
//     own.
//   - Remarks carry pictures, as findings do: steps ask for photographs "as
//     found", and that is no finding.
//   - Photos come in by name and kind. A merge takes from photos/ what a job
//     itself could have put there: the name, at most 20 MiB, and the first bytes
//     that the ending promises. An export takes any plain file there up to 64 MiB.
//     Both say what they pass over, and so does verify; for an export and a merge
//     that is no failure.
//   - A called procedure is a job inside the job, in called/ of its folder, so
//     that whatever carries the one carries the other; its job.toml names the
//     calling job and the step. That folder is what counts. The entry call in the
//     calling job's log only tells when a folder has not arrived; its step goes
//     before what job.toml says. Two devices that both start one make two.
//   - An open called job is a stop, whatever is in it. A tick or a skip made
//     elsewhere while one is open is shown and does not count until it is closed.
//     Letting that hang on whether it carries a hold would make the answer change
//     with every setting and reading inside. Closed means every step done or left
//     out, every finding decided, nothing left inside, no blank on. What cannot be
//     read is no such stop, or a folder lost for good would keep a job open for
//     ever: a person lets it pass by name and with a reason, as the record shows.
//   - Calling off is for mistakes. A called job is called off while no step of it
//     is ticked, no finding open and nothing inside; later work takes the calling
//     off away. Metal that was cut is finished, step by step, and holds in it are
//     not passed by calling off.
//   - What is read of called jobs. At most 100, 3 deep, 64 MiB of logs together;
//     plain folders with plain names; links and jobs of another caller are not
//     opened. More is a notice and shuts the last step. An open window keeps them
//     open and looks at time and size; a job without called/ lists nothing more
//     than before. Their standing is kept for 20 s while nothing changes, since
//     the state is asked for at every key.
//   - The sheet ticks the stages of a test. Where a step of kind wait uses a test,
//     it watches the hold; steps of kind test before it are the stages, and each
//     wants its own reading on the sheet, so that the curve from which air and
//     leaks are told is there, and the last one the test pressure. How the
//     pressure is divided is the procedure's. A failed test takes its stages back.
//     The result is the inspector's after the hold, so the test begins before the
//     steps that follow it are done, and passes after them.
//   - The fall in a hold is judged against drop_allowed as it was typed in from
//     the code, less what the gauge as read cannot show (half its last digit, at
//     most 0.5 % of the pressure). Over it is a stop. Not typed in, or explained
//     by cooling, or hidden by warming, it is an ask: no sum makes a pass.
//   - Where a hold begins and ends. It begins with the first reading at the test
//     pressure, and anew when that was gone past and let down: the whole time has
//     to be held from there, so nothing is given away by not counting what was let
//     down as lost. It ends when its time is full, when more is pumped, or when
//     somebody says that pressure was let down (let_down on the reading). A large
//     fall that nobody explains stays a loss.
//   - A stage has the reading that is nearest to its pressure, the first pressure
//     of the test among its figures. Nobody stops a pump at 45.00 psi; two stages
//     at one pressure share a reading, and a step can name the one it lacks.
//   - Who judges a test that certifies is the inspector on the sheet. A fail by
//     somebody else is taken, since whoever sees water may end a test, and the
//     record says that it was not the inspector.
//   - The alarm is no leave. 5 % over the target is this program's mark (common
//     practice), said in the words of boiler.AlarmMeans everywhere: nothing above
//     the target is allowed, at the alarm the test is over. It stays at 5 % where
//     the target is the product, since a needle a hair over is let down and does
//     not end a test, which would have to be pumped again.
package job
