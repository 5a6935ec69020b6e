package lookup

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"fettle/threads"
)

func drillSheet() Sheet {
	return Sheet{
		Name: "drill", Title: "Drill",
		About: "The stock drills around a size.",
		Long: "Stock drills around a size: metric by 0.1 mm, number 1 to 80, letter A to Z, fractions by 1/64 in.\n" +
			"Drills of your own, listed in workshop.toml, are marked \"yours\".",
		Words: "tapping bit size number letter metric",
		Asked: []string{"own_nearest", "nearest"},
		ask: func() []Field {
			return []Field{
				{Name: "size", Ask: "Size wanted, such as 3.3, 1/4 or No 30", Brief: "Size wanted", Kind: DrillName, Required: true, Leading: true},
				{Name: "count", Ask: "How many to list", Kind: Count, Default: "9"},
			}
		},
		Examples: []string{"drill 3.26", "drill 1/4", "drill No 30"},
		Own:      true,
		work:     workDrill,
	}
}

func workDrill(f *form, a *Answer) {
	size, count := read(f, "size", threads.ParseDrill).Diameter, f.count("count")
	if f.err == nil && (count < 1 || count > 50) {
		f.fail("count", errors.New("expected 1 to 50"))
	}
	if f.err != nil {
		return
	}
	near := threads.StockDrills().Near(size, count)
	if len(near) == 0 {
		f.fail("size", fmt.Errorf("no drill comes near %s", size))
		return
	}
	nearest := slices.Clone(near)
	slices.SortStableFunc(nearest, func(x, y threads.Drill) int {
		return cmp.Compare(math.Abs((x.Diameter - size).MM()), math.Abs((y.Diameter - size).MM()))
	})
	a.Title = fmt.Sprintf("%s = %s", size, size.InchString())
	a.add(mm("size_mm", size), wordRow("nearest", "Nearest", nearest[0].Name))
	if f.own.Drills.Own() {
		own := f.own.Drills.Near(size, 1)[0]
		row := wordRow("own_nearest", "Your nearest", own.Name)
		row.Text += fmt.Sprintf(" (%+.3f)", (own.Diameter - size).MM())
		a.add(row)
	}
	owns := func(d threads.Drill) bool {
		return len(f.own.Drills.Between(d.Diameter-0.0005, d.Diameter+0.0005)) > 0
	}
	around, ranked := List{Title: "Around it"}, List{Key: "drills"} // by size for people, nearest first for programs
	for _, d := range near {
		text := fmt.Sprintf("%.4f mm %+.3f", d.Diameter.MM(), (d.Diameter - size).MM())
		if owns(d) {
			text += " yours"
		}
		around.Items = append(around.Items, Item{Name: d.Name, Text: text})
	}
	for _, d := range nearest {
		rows := Rows{data("drill", d.Name), data("kind", string(d.Kind)), mm("diameter_mm", d.Diameter),
			data("diameter_in", d.Diameter.Inches()), mm("difference_mm", d.Diameter-size)}
		if owns(d) {
			rows = append(rows, data("own", true))
		}
		ranked.Items = append(ranked.Items, Item{Rows: rows})
	}
	a.list(around)
	a.list(ranked)
	a.from(threads.DrillSources(near)...)
}
