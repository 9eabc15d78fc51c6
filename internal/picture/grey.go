package picture

import (
	"bytes"
	"image"
	stddraw "image/draw"
	"math"
	"strings"

	"github.com/bep/imagemeta"
)

// Grey is the light of a picture that is kept, a byte a pixel: that of a JPEG as it is coded. Errors are those of Read.
func Grey(kept []byte) (*image.Gray, error) {
	img, _, leave, err := decode(kept)
	if err != nil {
		return nil, err
	}
	defer leave()
	b := img.Bounds()
	switch img := img.(type) {
	case *image.Gray:
		return img, nil
	case *image.YCbCr:
		return &image.Gray{Pix: img.Y, Stride: img.YStride, Rect: img.Rect}, nil
	}
	out := image.NewGray(image.Rect(0, 0, b.Dx(), b.Dy()))
	stddraw.Draw(out, out.Rect, img, b.Min, stddraw.Src)
	return out, nil
}

// Focal is the focal length of the camera in px of a picture of that size, or 0 where the file it came from does not
// tell: EXIF gives the focal length that shows as much on film of 36 × 24 mm (CIPA DC-008, tag 0xa405), by the
// diagonal (CIPA DCG-001).
func Focal(src []byte, width, height int) float64 {
	format := "jpeg"
	if _, f, err := image.DecodeConfig(bytes.NewReader(src)); err == nil {
		format = f
	}
	long := 0.0
	_, err := imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(src), ImageFormat: formats[format],
		Sources: imagemeta.EXIF,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool {
			return strings.HasPrefix(t.Tag, "FocalLengthIn35mm")
		},
		HandleTag: func(t imagemeta.TagInfo) error {
			if n, ok := t.Value.(uint16); ok {
				long = float64(n)
			}
			return nil
		}})
	if err != nil || !(long >= 5 && long <= 2000) {
		return 0
	}
	return long / math.Hypot(36, 24) * math.Hypot(float64(width), float64(height))
}
