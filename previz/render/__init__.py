"""Light to numbers: the contract, the back ends, the path tracer, the denoiser."""
