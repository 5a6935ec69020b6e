package paint

import "strings"

// BigTall is the height of a big figure in lines.
const BigTall = 3

// bigRows is the shape of a big character, five rows of dots, or "" where
// there is none.
func bigRows(r rune) string {
	switch r {
	case '0':
		return "###|#.#|#.#|#.#|###"
	case '1':
		return ".#.|##.|.#.|.#.|###"
	case '2':
		return "###|..#|###|#..|###"
	case '3':
		return "###|..#|.##|..#|###"
	case '4':
		return "#.#|#.#|###|..#|..#"
	case '5':
		return "###|#..|###|..#|###"
	case '6':
		return "###|#..|###|#.#|###"
	case '7':
		return "###|..#|..#|.#.|.#."
	case '8':
		return "###|#.#|###|#.#|###"
	case '9':
		return "###|#.#|###|..#|###"
	case 'A':
		return "###|#.#|###|#.#|#.#"
	case 'B':
		return "##.|#.#|##.|#.#|##."
	case 'C':
		return "###|#..|#..|#..|###"
	case 'E':
		return "###|#..|##.|#..|###"
	case 'F':
		return "###|#..|##.|#..|#.."
	case 'G':
		return "####|#...|#.##|#..#|####"
	case 'M':
		return "#...#|##.##|#.#.#|#...#|#...#"
	case 'N':
		return "#..#|##.#|#.##|#..#|#..#"
	case 'P':
		return "###|#.#|###|#..|#.."
	case 'R':
		return "##.|#.#|##.|#.#|#.#"
	case 'S':
		return "###|#..|###|..#|###"
	case 'T':
		return "###|.#.|.#.|.#.|.#."
	case 'U':
		return "#.#|#.#|#.#|#.#|###"
	case 'W':
		return "#...#|#...#|#.#.#|##.##|#...#"
	case 'x', '×':
		return "...|...|#.#|.#.|#.#"
	case '.', ',':
		return ".|.|.|.|#"
	case '/':
		return "..#|..#|.#.|#..|#.."
	case '-':
		return "...|...|###|...|..."
	case '+':
		return "...|.#.|###|.#.|..."
	case ' ':
		return "..|..|..|..|.."
	}
	return ""
}

// BigText draws figures and the names of threads three lines tall from half
// blocks. The answer is nil where s holds any other character, where it would
// be wider than w, or where the terminal has no such blocks.
func (l *Look) BigText(s string, w int) []string {
	if !l.G.Halves || s == "" {
		return nil
	}
	dots := make([]string, 2*BigTall)
	for _, r := range s {
		shape := bigRows(r)
		if shape == "" {
			return nil
		}
		rows := strings.Split(shape, "|")
		for i := range dots {
			if i < len(rows) {
				dots[i] += rows[i] + "."
			} else {
				dots[i] += strings.Repeat(".", len(rows[0])+1)
			}
		}
	}
	if len(dots[0]) > w {
		return nil
	}
	lines := make([]string, BigTall)
	for y := range lines {
		var b strings.Builder
		for x := range dots[0] {
			switch upper, lower := dots[2*y][x] == '#', dots[2*y+1][x] == '#'; {
			case upper && lower:
				b.WriteString("█")
			case upper:
				b.WriteString("▀")
			case lower:
				b.WriteString("▄")
			default:
				b.WriteByte(' ')
			}
		}
		lines[y] = b.String()
	}
	return lines
}

// BigValue writes a value in large digits, each unit behind its number in the
// last row; nil where it is no such value, or wider than w.
func (l *Look) BigValue(value string, w int) []string {
	parts := Measures(value)
	if parts == nil {
		return nil
	}
	rows := make([]string, BigTall)
	for n, part := range parts {
		big := l.BigText(part[0], w)
		if big == nil {
			return nil
		}
		gap := ""
		if n > 0 {
			gap = "  "
		}
		for i, row := range big {
			row = string([]rune(row)[:TextWidth(row)-1]) // the last column parts it from a next digit
			if i == BigTall-1 {
				row += part[1]
			} else {
				row += strings.Repeat(" ", TextWidth(part[1]))
			}
			rows[i] += gap + row
		}
	}
	if TextWidth(rows[0]) > w {
		return nil
	}
	return rows
}

// Measures parts a value into its numbers and their units, number first: "31 h
// 40 min" is two; nil for anything else.
func Measures(value string) (parts [][2]string) {
	words := strings.Fields(value)
	for i := 0; i < len(words); i++ {
		if !strings.ContainsAny(words[i], "0123456789") || strings.ContainsAny(words[i], "(") {
			return nil
		}
		part := [2]string{words[i], ""}
		for i+1 < len(words) && !strings.ContainsAny(words[i+1], "0123456789(") {
			i++
			part[1] += " " + words[i]
		}
		if part[1] == "" && len(words) > 1 {
			return nil // two numbers without a unit between them
		}
		parts = append(parts, part)
	}
	return parts
}
