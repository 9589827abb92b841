package main

// runCompare sets every publication's answer beside ours.
func runCompare(r *request) error {
	id, err := r.place()
	if err != nil {
		return err
	}
	x, err := r.view.Compare(id)
	if err != nil {
		return wordsWrong(refusef("%v", err))
	}
	return r.print(x, x.JSON)
}
