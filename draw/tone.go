package draw

import "strings"

// Tone is one colour of the page, once for paper by day and once by night.
// Colours are written #rrggbb.
type Tone struct {
	Name  string // custom property without its two hyphens
	Day   string
	Night string
	Print string // on white paper; greyscale printers must still tell it from paper
	Use   string // what it is for
}

// Tones is the palette. Watch and act are the blue and the vermillion of
// Okabe and Ito, "Color Universal Design" (2008), #0072B2 and #D55E00, moved
// in lightness until text in them reaches 4.5:1 on its paper (WCAG 2.2, 1.4.3).
// Keep has no colour: it is ink. Park is ink reversed.
func Tones() []Tone {
	return []Tone{
		{"paper", "#fbf9f4", "#151412", "#ffffff", "background"},
		{"ink", "#1b1a18", "#ece7dc", "#000000", "text, outlines, keep, park"},
		{"soft", "#5d5952", "#a7a093", "#3d3d3d", "secondary text, drawings of the vehicle"},
		{"hair", "#cfc9bd", "#3a3732", "#b5b5b5", "hairlines that carry no meaning"},
		{"wash", "#e3ddd0", "#35322c", "#dddddd", "bands behind curves"},
		{"watch", "#0062a0", "#7cc4f5", "#00507f", "watch"},
		{"act", "#a34100", "#ff9a57", "#8f3900", "put right"},
	}
}

// ThemeCSS returns the custom properties for day, night, print and forced
// colours. A page that sets data-theme to day or night on its root overrides
// the reader's system.
func ThemeCSS() string {
	var day, night, print strings.Builder
	for _, t := range Tones() {
		day.WriteString("--" + t.Name + ":" + t.Day + ";")
		night.WriteString("--" + t.Name + ":" + t.Night + ";")
		print.WriteString("--" + t.Name + ":" + t.Print + ";")
	}
	return "@media screen{\n" +
		":root{" + day.String() + "color-scheme:light dark}\n" +
		"@media (prefers-color-scheme:dark){:root:not([data-theme=day]){" + night.String() + "}}\n" +
		":root[data-theme=day]{color-scheme:light}\n" +
		":root[data-theme=night]{" + night.String() + "color-scheme:dark}\n" +
		"}\n" +
		"@media print{:root{" + print.String() + "color-scheme:light}}\n" +
		"@media (forced-colors:active){:root:root{--paper:Canvas;--ink:CanvasText;" +
		"--soft:CanvasText;--hair:GrayText;--wash:Canvas;--watch:CanvasText;--act:CanvasText}}\n"
}
