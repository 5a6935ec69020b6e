// Package checklist reads procedure files, says everything that is wrong with
// them, and fills in the answers to their settings.
//
// A procedure is a TOML file written by hand (format 2, described by [Keys]).
// [Read] turns it into a [Procedure] and a list of [Diagnostics]; [Procedure.Fill] answers its settings and works out every ${...}, which makes
// a [Filled]: what a job walks through and a screen shows.
//
// Files come from other people. Nothing in them can reach a terminal as a
// command, name a file outside, or run anything; size and nesting are limited
// (see [Read]).
//
// # Decisions
//
//   - Questions that are not asked. A setting whose when does not hold takes its
//     default, also where something was typed before another answer ruled it out;
//     without a default, naming it where it is not asked is a stop. default = ""
//     leaves an answer open. A choice, a yes-no and a text have answers of their
//     own for that.
//   - One space of names. ${name}, a condition and a sum may mean a setting, a
//     reading, a figure or a part, so no two of these are called the same; a reading
//     may be called as the setting that it sets, which it then is. Steps are named by
//     after alone and are a space of their own: a step that measures the spindle is
//     called spindle.
//   - Earlier readings. ${name} needs a name that one reading of the file has, in an
//     earlier step. Unread it is no limit and not a limit of nought. Only the readings
//     that a file recalls make a job work out its figures again.
//   - Not known is not false. A condition on what was not read yet holds nothing back:
//     its step stays until it is known, and comes back when the reading is undone.
//   - Where a figure stands. A figure of [figures] stands at the step whose reading
//     completes it, or at the next one that applies: it stops there as a reading does.
//     One that answers alone put outside is found when the file or the answer is.
//   - Several figures of one reading are typed with ; between and kept as typed. Every
//     one has to lie within the limits, whichever of them takes says counts elsewhere.
//   - Limits are rounded inwards. A limit that was worked out is shown to a
//     hundredth of a millimetre, a lower one rounded up and an upper one down, and
//     compared unrounded. What is made of a figure is made of the figure as shown,
//     so that the two agree on the screen.
//   - A procedure that is not at hand is a warn. call names a procedure by its id;
//     checklist.Check looks beside the file, then among the bundled ones. One that
//     is not there may be on the device of the job, so the file is not wrong; a
//     value that the other one refuses is a stop, because it is wrong wherever it
//     is read. A circle of calls that are always made is a stop: none of them can
//     be finished. checklist.Read knows nothing of other files, so a job is read
//     without them.
//   - Passes are told from the text. What takes a ring of three screws or more to
//     ${x.torque} is held until the steps that name its first_pass and second_pass
//     are ticked; to leave them out or to let the gate pass does not help. A step
//     that names all three is its own three rounds. The check of a procedure asks
//     the same of the order of its steps.
//   - Levers. quadrant on a step is the one thing a procedure says of a quarter-
//     turn: the angle between the stops, at most 180°. What a reading in degrees
//     of that step found is drawn between them. Which way a lever moves on the
//     engine nobody knows; the drawing says so.
//   - No sums for what does not apply. A part whose when does not hold is still
//     read, and a mistake in its keys is a mistake; but that its figures do not go
//     together (an O-ring smaller than the spindle, under packing) is nobody's.
//   - Limits in percent. within = "10 %" is a share of what is wanted: a tenth of a
//     newton metre either way suited one screw and no other. Where the reading
//     itself is in percent it stays points.
//   - Sheet and plan are two waits. A container's time replaces the planning
//     figure where an author says so (sheet_time). The bundled procedures wait for
//     both, each in a step of its own, since the shop's temperature is only known
//     when the joint is closed and the sheet's time is for a warm room.
//   - low and high are values, within, plus and minus offsets. A value that was meant
//     as an offset is told by a sign, which is a stop, or by what it would let pass:
//     above or below what is wanted, or a lower one under a tenth of it. That is a warn
//     that cannot be accepted; whoever means it writes the same limit as an offset.
//   - No figure of a code stands in an example, nor in what is said of a question
//     that lacks its answer: a pressure and a time show their unit only.
//   - A limit never moves to what was just measured. The limits of a reading that
//     takes the place of a setting are worked out as if it had not been taken
//     (unmeasured in reading.go), figures too. Counts that come back are held
//     against the setting, not against what came out: a broken screw leaves a
//     hole.
//   - Who releases is not handed on. A bundled call never sets release: the called
//     procedure begins with its own, stricter default. A call stands at the step
//     at which the conditions of the called procedure can be true: a stub is
//     called about when the cover is off.
package checklist
