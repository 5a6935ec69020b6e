// Package paint draws: a grid of cells, inks and glyphs, the rectangles that a picture
// of a size is divided into, large figures and the plot of a pressure. It knows no
// screen, no job and no key; what it draws and where it can be pressed is told to it.
package paint
