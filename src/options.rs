//! Every way in which a device can sit: port, cable and contract, with watts and hours.
