package picture

import (
	"bytes"
	"strings"

	"github.com/bep/imagemeta"
)

// formats are the names that image.Decode gives them.
var formats = map[string]imagemeta.ImageFormat{"jpeg": imagemeta.JPEG, "png": imagemeta.PNG, "webp": imagemeta.WebP}

// orientation is how the camera was held, as the file says: 1 to 8, 1 being upright;
// 0 where it does not say.
func orientation(src []byte, format string) (held int) {
	_, err := imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(src), ImageFormat: formats[format],
		Sources: imagemeta.EXIF,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool {
			return t.Tag == "Orientation" && strings.HasPrefix(t.Namespace, "IFD0")
		},
		HandleTag: func(t imagemeta.TagInfo) error {
			if n, ok := t.Value.(uint16); ok {
				held = int(n)
			}
			return imagemeta.ErrStopWalking
		}})
	if err != nil {
		return 0 // what cannot be read says nothing
	}
	return held
}
