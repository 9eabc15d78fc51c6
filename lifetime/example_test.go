package lifetime_test

import (
	"fmt"

	"undertray.example/undertray/lifetime"
)

// A maker wants a hose changed at 90 thousand km. This yard has had one fail at 71 and has two
// running. What are the odds of the one at 70 over the next 10?
func ExamplePrior_Update() {
	prior, err := lifetime.FromInterval(90, lifetime.Reading{})
	if err != nil {
		fmt.Println(err)
		return
	}
	post, err := prior.Update([]lifetime.Observation{
		lifetime.FailedAt(71),
		lifetime.RunningAt(97),
		lifetime.RunningAt(70),
	}, lifetime.GridOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	chance, err := post.FailWithinCounted(70, 10)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f %%, where %.0f %% have failed by %g\n", 100*chance, 100*post.Prior.Share, post.Prior.Age)
	// Output:
	// 5 %, where 10 % have failed by 90
}

// Ten of twenty units failed within 500 hours (NIST/SEMATECH e-Handbook 8.2.2.1).
func ExampleEstimate() {
	var obs []lifetime.Observation
	for _, hours := range []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386} {
		obs = append(obs, lifetime.FailedAt(hours))
	}
	obs = append(obs, lifetime.RunningAt(500).Times(10))
	fit, err := lifetime.Estimate(lifetime.Weibull, obs)
	if err != nil {
		fmt.Println(err)
		return
	}
	in, err := fit.ProfileShape(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("beta %.4f (%.2f to %.2f), eta %.1f h\n", fit.Shape(), in.Low, in.High, fit.Scale())
	// Output: beta 1.7208 (0.91 to 2.89), eta 606.5 h
}

func ExampleAgeReplacement() {
	life, err := lifetime.NewWeibull(2.5, 1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	best, err := lifetime.AgeReplacement(life, 1, 5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("at %.0f; %s\n", best.Age, best.Why)
	// Output: at 493; there is a best age
}

// How much faster does a rubber age under the bonnet than on the shelf?
func ExampleAcceleration() {
	factor, err := lifetime.Acceleration(lifetime.DefaultActivationEnergy, 23, 90)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f times\n", factor)
	// Output: 401 times
}
