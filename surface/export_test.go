package surface

import "image"

// ReadFrame is a reading without its cracks, and its strip at 12 px per mm, for comparisons of speed.
func ReadFrame(p *image.Gray, o BeltOptions) (Strip, error) {
	o, err := o.check()
	if err != nil {
		return Strip{}, err
	}
	r := laid(p, o)
	return r.Frame.Strip(p, 12)
}
