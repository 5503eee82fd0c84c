package app

import (
	"encoding/csv"
	"flag"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"ventbell/internal/book"
	"ventbell/internal/gas"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// table is one table behind the plan, for people who want to check it.
type table struct {
	Name    string     `json:"name"`
	Source  string     `json:"source"`
	Columns []string   `json:"columns"`
	Rows    [][]string `json:"rows"`
}

// figures is `ventbell figures`: the tables behind the plan, as text, JSON or CSV.
func figures(args []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("figures", flag.ContinueOnError)
	flags.SetOutput(stderr)
	asJSON := flags.Bool("json", false, "print JSON")
	asCSV := flags.Bool("csv", false, "print CSV, the table's name in the first column")
	path := flags.String("book", "", "the book's `file`, for its vessels; the sample book when not given")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	b, err := openBook(*path)
	if err != nil {
		return exitProblem, err
	}
	pressures, err := pressureTable(b)
	if err != nil {
		return 1, err
	}
	strengths, err := strengthTable()
	if err != nil {
		return 1, err
	}
	tables := []table{pressures, strengths, keepingTable()}
	switch {
	case *asJSON:
		return 0, printJSON(stdout, tables)
	case *asCSV:
		return 0, printCSV(stdout, tables)
	}
	return 0, printTables(stdout, tables)
}

// solvents are the liquids of the pressure table.
var solvents = []struct {
	name    string
	solvent gas.Solvent
}{
	{"spirit 40 %", gas.Solvent{Family: gas.Spirit, Strength: 40 * quantity.Percent}},
	{"oil", gas.Solvent{Family: gas.Oil}},
	{"vinegar", gas.Solvent{Family: gas.Vinegar}},
}

// fillShare is how full of its brim a vessel stands in the pressure table: the
// most that the fill rule lets in.
const fillShare = 80

// pressureTable gives vessel by liquid by charger by temperature.
func pressureTable(b *book.Book) (table, error) {
	t := table{
		Name: "pressure",
		Source: "Lemmon and Span 2006 for the gas; Weiss and Price 1980 for water; ethanol and oil from memory; " +
			"estimates: the vessel's stamp and manual win",
		Columns: []string{"vessel", "liquid", "ml", "chargers", "C", "unswirled bar", "rest bar", "likely from", "to"},
	}
	for _, v := range b.Vessels {
		if v.Brim == 0 {
			continue
		}
		liquid := min(v.Line, v.Brim*fillShare/100)
		for _, s := range solvents {
			for n := 1; n <= v.ChargerLimit(); n++ {
				for _, celsius := range []quantity.Temperature{4, 20, 40} {
					load := gas.Load{
						Brim: v.Brim, Measured: true, Solvent: s.solvent, Liquid: liquid, Temperature: celsius * quantity.Celsius,
					}
					seq, err := load.Sequence(n, 8*quantity.Gram)
					if err != nil {
						return t, fmt.Errorf("work out the pressure table: %w", err)
					}
					t.Rows = append(t.Rows, []string{
						v.Tag, s.name, fmt.Sprintf("%.0f", liquid.Millilitres()), fmt.Sprint(n), fmt.Sprint(int(celsius)),
						bar(seq.Peak.Central), bar(seq.Rest.Central), bar(seq.Rest.Low), bar(seq.Rest.High),
					})
				}
			}
		}
	}
	return t, nil
}

func bar(x float64) string { return fmt.Sprintf("%.0f", x) }

// strengthTable gives strength to density and flash point.
func strengthTable() (table, error) {
	t := table{
		Name: "strength",
		Source: "OIML R 22 (1975) for density; Liaw and Chiu 2003 for the flash point, a caution figure: mist burns below it, " +
			"and nitrous oxide feeds fire",
		Columns: []string{"% vol", "% mass", "kg/m3 at 20 C", "flash point C", "J/kg/K"},
	}
	for _, percent := range []float64{10, 20, 30, 37.5, 40, 43, 50, 57, 60, 75, 96} {
		fraction, err := spirit.ByMass(percent)
		if err != nil {
			return t, fmt.Errorf("work out the strength table: %w", err)
		}
		density, err := spirit.Density(fraction, 20)
		if err != nil {
			return t, fmt.Errorf("work out the strength table: %w", err)
		}
		flash, err := spirit.FlashPoint(percent)
		if err != nil {
			return t, fmt.Errorf("work out the strength table: %w", err)
		}
		heat, err := spirit.HeatCapacity(percent)
		if err != nil {
			return t, fmt.Errorf("work out the strength table: %w", err)
		}
		t.Rows = append(t.Rows, []string{
			fmt.Sprintf("%g", percent), fmt.Sprintf("%.2f", 100*fraction), fmt.Sprintf("%.1f", density),
			fmt.Sprintf("%.0f", flash), fmt.Sprintf("%.0f", heat),
		})
	}
	return t, nil
}

// keepingTable gives the rules on keeping.
func keepingTable() table {
	t := table{
		Name: "keeping", Source: "per row; local law wins",
		Columns: []string{"rule", "liquid", "finished", "solids", "shelf days", "fridge days", "source"},
	}
	for _, row := range keeping.Rows() {
		t.Rows = append(t.Rows, []string{
			row.ID, words(row.Liquids), string(row.Finished), words(row.Solids),
			fmt.Sprint(row.Shelf), fmt.Sprint(row.Fridge), sources(row.Sources),
		})
	}
	return t
}

// words joins the names of a list; an empty list is any.
func words[T ~string](list []T) string {
	if len(list) == 0 {
		return "any"
	}
	names := make([]string, len(list))
	for i, x := range list {
		names[i] = string(x)
	}
	return strings.Join(names, ", ")
}

// sources joins the texts of a row's sources.
func sources(list []keeping.Source) string {
	texts := make([]string, len(list))
	for i, s := range list {
		texts[i] = s.Text
	}
	return strings.Join(texts, "; ")
}

// printTables prints tables as text.
func printTables(w io.Writer, tables []table) error {
	for _, t := range tables {
		fmt.Fprintf(w, "%s (%s)\n", t.Name, t.Source)
		columns := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(columns, strings.Join(t.Columns, "\t"))
		for _, row := range t.Rows {
			fmt.Fprintln(columns, strings.Join(row, "\t"))
		}
		if err := columns.Flush(); err != nil {
			return fmt.Errorf("print tables: %w", err)
		}
		fmt.Fprintln(w)
	}
	return nil
}

// printCSV prints tables as CSV, one after the other.
func printCSV(w io.Writer, tables []table) error {
	out := csv.NewWriter(w)
	for _, t := range tables {
		rows := append([][]string{append([]string{"table"}, t.Columns...)}, t.Rows...)
		for i, row := range rows {
			if i > 0 {
				row = append([]string{t.Name}, row...)
			}
			if err := out.Write(row); err != nil {
				return fmt.Errorf("print CSV: %w", err)
			}
		}
	}
	out.Flush()
	return out.Error()
}
