package drive_test

import (
	"errors"
	"fmt"

	"undertray.example/undertray/drive"
)

// wardensPickup is the belt run of an invented vehicle.
func wardensPickup() drive.Run {
	return drive.Run{
		Pulleys: []drive.Pulley{
			{Name: "crank", Centre: drive.Point{X: 0, Y: 0}, DiameterMM: 160, Driver: true},
			{Name: "tensioner", Centre: drive.Point{X: -130, Y: 120}, DiameterMM: 80, Measured: drive.Plain,
				Side: drive.BackSide},
			{Name: "alternator", Centre: drive.Point{X: -230, Y: 260}, DiameterMM: 56, Alternator: true,
				Load: drive.Load{Kind: drive.PowerLoad, Value: 1500}},
			{Name: "pump", Centre: drive.Point{X: 0, Y: 300}, DiameterMM: 130,
				Load: drive.Load{Kind: drive.TorqueLoad, Value: 4}},
			{Name: "compressor", Centre: drive.Point{X: 240, Y: 150}, DiameterMM: 120,
				Load: drive.Load{Kind: drive.TorqueLoad, Value: 9}},
		},
		Belt: drive.Belt{Section: drive.PK(), Ribs: 6, KgPerM: 0.12},
		Tensioner: drive.Tensioner{Kind: drive.SpringArm, Pulley: "tensioner", Pivot: drive.Point{X: -172, Y: 188},
			Low: -25, High: 25, Spring: 22},
		DriverTurns: drive.Clockwise,
	}
}

func Example() {
	d, err := drive.New(wardensPickup())
	if err != nil {
		fmt.Println(err)
		return
	}
	l := d.Drawn()
	fmt.Printf("effective length %.1f mm\n", l.EffectiveMM)
	for _, p := range l.Pulleys {
		fmt.Printf("%s: wrap %.0f degrees\n", p.Name, p.WrapDeg)
	}
	// Output:
	// effective length 1533.0 mm
	// crank: wrap 123 degrees
	// tensioner: wrap 57 degrees
	// alternator: wrap 131 degrees
	// pump: wrap 52 degrees
	// compressor: wrap 111 degrees
}

func ExampleDrive_Fit() {
	d, err := drive.New(wardensPickup())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, print := range []string{"6PK1540", "6PK1480"} {
		belt, err := drive.ParseDesignation(print)
		if err != nil {
			fmt.Println(err)
			continue
		}
		f, err := d.Fit(float64(belt.LengthMM))
		if err != nil {
			var why *drive.Refusal
			if errors.As(err, &why) {
				fmt.Printf("%v does not fit: %v by %.1f mm\n", belt, why.Reason, why.MM)
			}
			continue
		}
		fmt.Printf("%s fits: arm %+.1f degrees, %.1f degrees or %.1f mm of belt to the take-up stop\n",
			belt, f.Position, f.Take.Move, f.Take.BeltMM)
	}
	// Output:
	// 6PK1540 fits: arm +5.1 degrees, 19.9 degrees or 30.9 mm of belt to the take-up stop
	// 6PK1480 does not fit: belt too short by 27.6 mm
}

func ExampleDrive_Forces() {
	d, err := drive.New(wardensPickup())
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := d.Forces(2000)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range f.Spans {
		fmt.Printf("%s to %s: %.0f N\n", s.From, s.To, s.TensionN)
	}
	slip, err := d.FirstSlip(2000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("most grip used: %s; it takes %.1f times these loads to slip the %s\n", f.Weakest,
		slip.LoadFactor, slip.Pulley)
	// Output:
	// crank to tensioner: 325 N
	// tensioner to alternator: 325 N
	// alternator to pump: 412 N
	// pump to compressor: 472 N
	// compressor to crank: 617 N
	// most grip used: crank; it takes 5.5 times these loads to slip the crank
}

func ExampleNew_refusal() {
	r := wardensPickup()
	r.Pulleys[3], r.Pulleys[4] = r.Pulleys[4], r.Pulleys[3]
	_, err := drive.New(r)
	var why *drive.Refusal
	if errors.As(err, &why) {
		fmt.Println(why.Reason)
		fmt.Println(why.Suggestions[0].Code, why.Suggestions[0].Pulleys)
	}
	// Output:
	// wrong order
	// swapped [compressor pump]
}

func ExampleRun_LeaveOut() {
	res, err := wardensPickup().LeaveOut("compressor", drive.SearchOptions{Belts: []float64{1290, 1300, 1310}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range res.Found {
		if len(r.Reversed) == 0 {
			fmt.Printf("%v: belts of %.0f to %.0f mm, weakest the %s at %.0f degrees\n", r.Order, r.Shortest, r.Longest,
				r.Weakest, r.WeakestWrap)
		}
	}
	// Output:
	// [crank tensioner alternator pump]: belts of 1266 to 1330 mm, weakest the pump at 106 degrees
}
