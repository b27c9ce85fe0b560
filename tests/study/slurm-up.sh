#!/usr/bin/env bash
# Starts a Slurm of one node on the loopback address, its state under $1. For tests; as root.
set -eu
PATH=$PATH:/usr/sbin:/sbin
folder=${1:?folder for the state}
mkdir -p "$folder"/{spool,state,log,munge}
host=$(hostname -s)
# Ports of its own, so that a cluster of the machine is not disturbed.
port=$((20000 + $$ % 20000))
cat > "$folder/slurm.conf" <<CONF
ClusterName=test
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=$folder/munge/socket
CryptoType=crypto/munge
MpiDefault=none
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
ReturnToService=2
SlurmctldPort=$port
SlurmdPort=$((port + 1))
SlurmctldPidFile=$folder/slurmctld.pid
SlurmdPidFile=$folder/slurmd.pid
SlurmdSpoolDir=$folder/spool
StateSaveLocation=$folder/state
SlurmctldLogFile=$folder/log/slurmctld.log
SlurmdLogFile=$folder/log/slurmd.log
SchedulerType=sched/backfill
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
AccountingStorageType=accounting_storage/none
JobAcctGatherType=jobacct_gather/none
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=INFINITE State=UP
CONF
dd if=/dev/urandom of="$folder/munge/key" bs=1024 count=1 status=none
chmod 700 "$folder/munge"
chmod 600 "$folder/munge/key"
munged --force --key-file="$folder/munge/key" --socket="$folder/munge/socket" \
    --pid-file="$folder/munge/munged.pid" --log-file="$folder/log/munged.log" \
    --seed-file="$folder/munge/seed"
export SLURM_CONF=$folder/slurm.conf
slurmctld -f "$SLURM_CONF"
slurmd -f "$SLURM_CONF"
for _ in $(seq 60); do
    if sinfo --noheader --format=%T 2>/dev/null | grep -q idle; then exit 0; fi
    sleep 0.5
done
echo "no node is idle after half a minute" >&2
exit 1
