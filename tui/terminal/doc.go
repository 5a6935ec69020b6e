// Package terminal stands between the terminal and the program loop: it puts torn
// input together, sorts out mouse reports and floods of keys, sends pictures beside
// the loop so that a terminal which takes nothing cannot stop the program, and names
// the signals that a closed window sends. It knows nothing of screens.
//
// # Decisions
//
//   - Torn input. bubbletea takes the end of a read for the end of a key.
//     input_unix.go waits for the rest of a begun sequence, and filter.go puts
//     together a mouse report that was torn all the same.
//   - A line that is slow or stands still. bubbletea writes pictures under the
//     lock that its event loop takes for the next one: a terminal that takes
//     nothing stops the program, also for SIGTERM. output.go sends them beside it,
//     and View hands out no new picture while one is on its way, so that at most
//     one waits. What no picture has shown is answered by no tap and by no enter
//     held on; other keys are typed ahead, also those pressed while an entry is
//     being saved. Enter held while the line stood still arrives in one read,
//     which no hand can do, and counts once at most. slow_line_test.go is such a
//     line: 300 ms there and back, 10 kB/s, every byte by itself.
package terminal
