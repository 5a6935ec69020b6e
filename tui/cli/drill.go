package cli

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/quantity"
)

func drillCommand(env Env) *cobra.Command {
	var asJSON, sources bool
	var count int
	cmd := &cobra.Command{
		Use: "drill SIZE",
		Long: "Stock drills around a size: metric by 0.1 mm, number 1 to 80, letter A to Z, fractions by 1/64 in.\n" +
			"Drills of your own, listed in workshop.toml, are marked \"yours\".",
		Example: "  fettle drill 3.26\n" +
			"  fettle drill 1/4\n" +
			"  fettle drill \"No 30\"",
		Args: atLeast(1, "give a size, such as 3.3, 1/4, \"No 30\" or \"letter F\""),
		RunE: func(_ *cobra.Command, args []string) error {
			if count < 1 || count > 50 {
				return usage(errors.New("--count is 1 to 50"))
			}
			size, err := threads.ParseDrill(plainMinus(strings.Join(args, " ")))
			if err != nil {
				return usage(err)
			}
			shop, err := ownTools(env)
			if err != nil {
				return err
			}
			list := threads.StockDrills().Near(size.Diameter, count)
			if asJSON {
				return writeJSON(env.Stdout, newDrillJSON(size.Diameter, list, shop))
			}
			fmt.Fprintf(env.Stdout, "%s = %s\n", size.Diameter, size.Diameter.InchString())
			for _, d := range list {
				mark := ""
				if ownsDrill(shop, d) {
					mark = " yours"
				}
				fmt.Fprintf(env.Stdout, "%-9s%8.4f mm %+.3f%s\n", d.Name, d.Diameter.MM(), (d.Diameter - size.Diameter).MM(), mark)
			}
			if shop.Drills.Own() {
				near := shop.Drills.Near(size.Diameter, 1)[0]
				fmt.Fprintf(env.Stdout, "your nearest: %s (%+.3f)\n", near.Name, (near.Diameter - size.Diameter).MM())
			}
			if sources {
				writeSources(env.Stdout, threads.DrillSources(list))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().BoolVar(&sources, "sources", false, "say where the figures come from")
	cmd.Flags().IntVar(&count, "count", 9, "how many")
	return cmd
}

// ownsDrill reports whether the workshop lists a drill of that diameter.
func ownsDrill(w workshop.Tools, d threads.Drill) bool {
	return len(w.Drills.Between(d.Diameter-0.0005, d.Diameter+0.0005)) > 0
}

type drillListJSON struct {
	Size    float64     `json:"size_mm"`
	Drills  []drillJSON `json:"drills"` // nearest first
	Sources []string    `json:"sources"`
}

type drillJSON struct {
	Drill      string  `json:"drill"`
	Kind       string  `json:"kind"`
	Diameter   float64 `json:"diameter_mm"`
	Inches     float64 `json:"diameter_in"`
	Difference float64 `json:"difference_mm"`
	Own        bool    `json:"own,omitempty"`
}

func newDrillJSON(size quantity.Length, list []threads.Drill, shop workshop.Tools) drillListJSON {
	out := drillListJSON{Size: mmFigure(size), Drills: []drillJSON{}, Sources: threads.DrillSources(list)}
	off := func(d threads.Drill) float64 { return math.Abs((d.Diameter - size).MM()) }
	slices.SortStableFunc(list, func(a, b threads.Drill) int { return cmp.Compare(off(a), off(b)) })
	for _, d := range list {
		out.Drills = append(out.Drills, drillJSON{
			d.Name, string(d.Kind), mmFigure(d.Diameter), figure(d.Diameter.Inches()), mmFigure(d.Diameter - size), ownsDrill(shop, d),
		})
	}
	return out
}
