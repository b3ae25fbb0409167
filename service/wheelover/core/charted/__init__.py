"""What the cells of an electronic chart mean to a ship: dangers, areas, and covered water."""
