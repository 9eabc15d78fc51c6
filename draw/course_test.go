package draw

import (
	"strings"
	"testing"
)

func TestCourseChart(t *testing.T) {
	spec := Course{Head: Head{ID: "course", Title: "Said against came true", Width: 360,
		Desc: "Two were to fail, one did."}, Y: Axis{Label: "parts"},
		X: Axis{Label: "day", Lo: 0, Hi: 365}, Said: []Band{{0, 0, 0, 0}, {180, 1, 0, 3}, {365, 2, 0, 4.8}},
		Came: []Point{{0, 0}, {180, 0}, {365, 1}}}
	fig, err := CourseChart(spec)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"d-ahead", "d-curve", "d-band", spec.Desc.String()} {
		if !strings.Contains(string(fig.SVG), want) {
			t.Errorf("the drawing lacks %q", want)
		}
	}
	if n := strings.Count(string(fig.SVG), "<circle"); n != 1 {
		t.Errorf("%d dots, want one for the part that failed", n)
	}
	for name, spoil := range map[string]func(*Course){
		"no words":  func(c *Course) { c.Desc = "" },
		"one point": func(c *Course) { c.Said = c.Said[:1] },
		"bad band":  func(c *Course) { c.Said = []Band{{0, 0, 0, 0}, {1, 1, 2, 0}} },
	} {
		bad := spec
		spoil(&bad)
		if _, err := CourseChart(bad); err == nil {
			t.Errorf("%s was drawn", name)
		}
	}
}
