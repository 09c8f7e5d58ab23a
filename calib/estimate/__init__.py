"""One least-squares estimate of camera, lens and plane with its covariance."""
