"""What came home, and how it corrects the next plan."""
