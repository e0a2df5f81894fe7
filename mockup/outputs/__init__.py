"""What leaves the house: pictures, proof, cut sheets, plan."""
