package ask_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yamltree"
)

// written is a whole vehicle written out by somebody else from public knowledge,
// before the modules were there (testdata/written-out/README.md).
type written struct {
	Name      string         `yaml:"name"`
	DrawnFrom string         `yaml:"drawn_from"`
	Answers   yamltree.Node  `yaml:"answers"`
	Positions []writtenPlace `yaml:"positions"`
	Also      []writtenPlace `yaml:"also,omitempty"`
	Openings  yamltree.Node  `yaml:"openings,omitempty"`
}

type writtenPlace struct {
	Kind  string `yaml:"kind"`
	For   string `yaml:"for,omitempty"`
	Where string `yaml:"where,omitempty"`
	Count int    `yaml:"count,omitempty"`
	Seen  string `yaml:"seen,omitempty"`
}

// trade turns trade words, and what they are for, into kinds; the first that fits
// counts, and a position of any of its kinds does.
var trade = []struct{ words, kinds string }{
	{`^stretch-fit`, "stretch-belt"}, {`^ribbed belt`, "ribbed-belt"}, {`^V-belt`, "v-belt"},
	{`^timing belt, dry`, "timing-belt"}, {`^timing belt, in oil|oil pump belt`, "timing-belt-in-oil"},
	{`timing belt tensioner|^belt tensioner`, "auto-tensioner"}, {`timing belt idler|^idler`, "idler"},
	{`adjusting`, "manual-adjuster"}, {`^timing chain`, "timing-chain"}, {`overrunning`, "overrun-pulley"},
	{`^alternator pulley`, "alternator"}, {`coolant pump, electric`, "electric-coolant-pump"},
	{`^coolant pump`, "water-pump"}, {`steering pump pulley|^hydraulic pump`, "steering-pump"},
	{`compressor`, "compressor"}, {`^crank pulley`, "crank-pulley"}, {`hose.*upper|hose.*radiator, pump`, "top-hose"},
	{`hose.*lower`, "bottom-hose"}, {`hose.*expansion`, "overflow-hose"}, {`hose.*exhaust-gas cooler`, "bypass-hose"},
	{`^coolant hose|^heater hose`, "heater-hose"}, {`^coolant\b`, "coolant"}, {`^heater valve cable`, "control-cable"},
	{`air intake|inlet rubber`, "intake-duct"}, {`^charge air hose`, "charge-air-hose"},
	{`breather hose`, "breather-hose"}, {`vacuum hose.*servo`, "servo-hose"},
	{`^vacuum hose|vapour|pressure hose`, "vacuum-hose"},
	{`^fuel hose|leak-off`, "fuel-hose fuel-pipe-plastic"}, {`^fuel line`, "fuel-pipe fuel-pipe-plastic"},
	{`high-pressure fuel pipe`, "fuel-pipe"}, {`plug lead|ignition coil|distributor|points`, "ignition-leads"},
	{`^engine oil`, "engine-oil"}, {`oil cooler`, "oil-cooler-line heater-hose"},
	{`turbocharger oil`, "oil-cooler-line"},
	{`steering hose.*return`, "steering-return-hose"}, {`power steering hose`, "steering-pressure-hose"},
	{`power steering fluid`, "steering-fluid"}, {`^battery cable`, "harness"}, {`^battery`, "battery"},
	{`^earth strap`, "earth-strap"}, {`towing|rear lamp`, "lamps"}, {`harness|sensor lead|switch`, "harness"},
	{`air-conditioning line`, "air-con-line"}, {`gearbox cooler line`, "gearbox-cooler-line"},
	{`automatic gearbox fluid|transaxle fluid`, "auto-gearbox-fluid"}, {`and hydraulic oil`, "hydraulic-oil"},
	{`^gearbox oil|differential oil|transfer box oil|front axle oil`, "gearbox-oil"},
	{`^clutch (fluid|hose|hyd|master|slave)`, "clutch-line"}, {`support bearing`, "propeller-shaft-joint"},
	{`column coupling|gear linkage joint`, "ball-joint"}, {`pump oil hose`, "oil-cooler-line"},
	{`clutch cable|gear.*cable|throttle|choke|stop control|linkage rod|latch`, "control-cable"},
	{`propshaft|front drive shaft`, "propeller-shaft-joint"}, {`drive-shaft boot`, "drive-shaft-boot"},
	{`ball joint|track rod|wishbone|drop link|bar bush|arm bush|axle bush|shackle|rack boot|kingpin|axle pivot|` +
		`steering head|swinging arm`, "ball-joint"},
	{`^exhaust mounting|exhaust pipe`, "exhaust"}, {`engine mount|gearbox mount|torque rod`, "engine-mount"},
	{`brake (disc|pads|calliper)`, "brake-pads"}, {`^brake (drum|shoes)|wheel cylinder|parking brake, inside`, "brake-shoes"},
	{`^brake hose`, "brake-hose"}, {`^brake pipe`, "brake-pipe"}, {`^brake fluid`, "brake-fluid"},
	{`handbrake cable|parking brake cable`, "handbrake-cable"}, {`^brake (cable|rod)|balance bar|handbrake lever`,
		"trailer-brake-cable handbrake-cable"},
	{`tyre`, "tyres"}, {`wheel bearing`, "wheel-bearing"}, {`viscous`, "viscous-fan"}, {`^drive chain|sprocket|slider`,
		"drive-chain"},
	{`^high-voltage cable`, "high-voltage-cable"}, {`fan and filter`, "cabin-filter"},
	{`^hydraulic|steering cylinder`, "hydraulic-hose"}, {`power take-off`, "power-take-off"},
	{`link$|lift rod|check chain|linch pin|lift arm|drawbar|coupling head|overrun|breakaway`, "tow-coupling"},
	{`axle suspension`, "shock-absorber"},
}

// leftOut are parts that sheets knowingly do not hold. Exhaust fluid and its lines, load-sensing valves, brake master
// cylinders, roll-over frames and jockey wheels want kinds of their own, with knowledge that is not there yet. Of a
// high-voltage battery, its plug, inverter and duct an owner looks at nothing but the warning lamp (whole vehicle) and
// the fan's filter. Wheel bolts are looked at with the tyres.
var leftOut = regexp.MustCompile(`^exhaust.fluid|load-sensing|brake master cylinder|^high-voltage battery$|` +
	`^high-voltage service|^inverter|cooling duct|jockey|wheel bolts|roll-over`)

// Ten vehicles written out by hand come out position by position: whatever is written
// has a position of its kind on the sheet that the same answers make.
func TestVehiclesWrittenOutComeOut(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	answers := map[string]string{
		"01": "sort=car lies=across fuel=injection timing=chain steering=electric clutch=shared brakes=mixed",
		"02": "sort=car lies=across fuel=diesel timing=belt oil-cooler=plate towing=yes",
		"03": "sort=pickup lies=along fuel=diesel timing=chain oil-cooler=plate towing=yes clutch=own brakes=mixed",
		"04": "sort=van lies=across fuel=diesel timing=belt-in-oil oil-cooler=plate steering=electric " +
			"towing=yes pump=belt",
		"05": "sort=car lies=along fuel=carburettor timing=chain brakes=mixed",
		"06": "sort=car lies=along fuel=injection cylinders=v8 timing=chain gearbox=automatic towing=yes " +
			"oil-cooler=hoses cooling=electric",
		"07": "sort=car lies=across fuel=hybrid timing=chain pump=electric",
		"08": "sort=tractor steering=inside driven=four",
		"09": "sort=motorcycle cooling=electric", "10": "sort=trailer",
	}
	belts := map[string][]string{
		"01": {"sprung: compressor, alternator, water-pump, tensioner"},
		"02": {"sprung: compressor, alternator, steering-pump, tensioner"},
		"03": {"sprung: steering-pump, water-pump, alternator, tensioner", "by-hand: compressor, tensioner-ribs"},
		"04": {"sprung: compressor, alternator, idler, water-pump, tensioner"},
		"06": {"sprung: steering-pump, idler, alternator, water-pump, tensioner", "stretch: compressor"},
	}
	names, err := filepath.Glob("../testdata/written-out/*.yaml")
	if err != nil || len(names) != len(answers) {
		t.Fatal(names, err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var w written
		if err := yamltree.Read(src, &w); err != nil {
			t.Fatal(err)
		}
		id := filepath.Base(name)[:2]
		compare(t, &w, sheetFor(t, cat, answers[id], belts[id]))
	}
}

func sheetFor(t *testing.T, cat *catalogue.Catalogue, said string, belts []string) *fleet.Vehicle {
	t.Helper()
	a := ask.Answers{Say: map[string]string{}}
	for one := range strings.FieldsSeq(said) {
		question, answer, _ := strings.Cut(one, "=")
		a.Say[question] = answer
	}
	for _, text := range belts {
		b, err := ask.ParseBelt(text)
		if err != nil {
			t.Fatal(err)
		}
		a.Belts = append(a.Belts, b)
	}
	src, err := ask.Build(a, ask.Filling{Vehicle: "wren", Name: "Wren"})
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Read("wren", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	return s.Vehicle
}

func compare(t *testing.T, w *written, v *fleet.Vehicle) {
	t.Helper()
	there, out, side := 0, 0, 0
	for _, p := range w.Positions {
		text := strings.TrimSpace(p.Kind + " " + p.For)
		if leftOut.MatchString(text) {
			out++
			continue
		}
		var kinds []string
		for _, row := range trade {
			if regexp.MustCompile(row.words).MatchString(text) {
				kinds = strings.Fields(row.kinds)
				break
			}
		}
		if kinds == nil {
			t.Errorf("%s: no kind is named for %q", w.Name, text)
			continue
		}
		has, sameSide := false, false
		for i := range v.Positions {
			if slices.Contains(kinds, v.Positions[i].Kind) {
				has = true
				sameSide = sameSide || (p.Seen == "from above") == (v.Positions[i].From == fleet.Above)
			}
		}
		if !has {
			t.Errorf("%s: %q, a %s, is not on the sheet", w.Name, text, kinds)
			continue
		}
		there++
		if sameSide {
			side++
		}
	}
	t.Logf("%s: %d of %d written positions are there, %d of them seen from the side that is written, %d knowingly not",
		w.Name, there, len(w.Positions), side, out)
}
