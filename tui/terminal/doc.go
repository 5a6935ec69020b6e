// Package terminal stands between the terminal and the program loop: it puts torn
// input together, sorts out mouse reports and floods of keys, sends pictures beside
// the loop so that a terminal which takes nothing cannot stop the program, and names
// the signals that a closed window sends. It knows nothing of screens.
package terminal
