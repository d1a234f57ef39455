package analyze

// StepBlock takes samples in a row, as of a file, where nobody waits for what each
// of them brings about: the same as Step with each, but that nothing is told of it.
func (m *Machine) StepBlock(samples []Sample) {
	for k := range samples {
		m.Step(samples[k])
	}
}
