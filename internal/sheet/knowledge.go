package sheet

import "undertray.example/undertray/internal/catalogue"

// Knowledge is what a sheet's kinds, materials, figures, systems and checks
// are looked up in; a *catalogue.Catalogue is one. A nil Knowledge leaves them
// unchecked.
type Knowledge interface {
	// KindIDs lists the ids of all kinds.
	KindIDs() []string
	// Kind returns the kind with this id and all it inherits, or nil.
	Kind(id string) *catalogue.Kind
}

// specIDs lists the ids of the figures of a kind's parts; none for nil.
func specIDs(k *catalogue.Kind) []string {
	if k == nil {
		return nil
	}
	ids := make([]string, len(k.Spec))
	for i := range k.Spec {
		ids[i] = k.Spec[i].ID
	}
	return ids
}
